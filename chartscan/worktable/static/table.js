// The page: lets itself in, shows one screen at a time, takes files that are dropped anywhere.
//
// An address is #/screen or #/screen/chart. A screen is a module that exports
// open(root, place) and may return a function that is called, and waited for, when it is left;
// place = { screen, chart, go(screen, chart), again() }.

import * as ask from "./ask.js";
import { Early } from "./early.js";
import { put, tell } from "./html.js";
import { learn, say } from "./words.js";

const work = document.getElementById("work");
const steps = [...document.querySelectorAll("[data-step]")];
const early = new Early(work);
let leave = null;
let turn = 0;

start();

async function start() {
  learn(await ask.words(), document.documentElement.lang);
  ask.whenLost(() => stop(say("table.gone")));
  try {
    if (!(await ask.enter())) return stop(say("table.no_key"));
  } catch (error) {
    return stop(error.message);
  }
  addEventListener("hashchange", show);
  document.getElementById("end").addEventListener("click", end);
  takeDrops();
  await show();
}

// The screen that the address says, with the chart it is about.
function place() {
  const [, screen = "shelf", chart = ""] = location.hash.split("/");
  return { screen: screen || "shelf", chart, go, again: show };
}

function go(screen, chart = "") {
  const hash = chart ? `#/${screen}/${chart}` : `#/${screen}`;
  if (location.hash === hash) show();
  else location.hash = hash;
}

async function show() {
  const here = place();
  const mine = ++turn;
  mark(here);
  try {
    await left();
    const [html, module] = await Promise.all([
      ask.screen(here.screen, here.chart ? { chart: here.chart } : {}),
      import(`./${here.screen}.js`),
    ]);
    if (mine !== turn) return;
    delete work.dataset.screen;
    early.begin();
    put(work, html);
    const close = (await module.open(work, here)) ?? null;
    if (mine !== turn) return close?.(); // another screen was asked for meanwhile
    leave = close;
    work.dataset.screen = here.screen; // it stands
    if (!work.contains(document.activeElement)) work.focus({ preventScroll: true });
    early.end();
  } catch (error) {
    if (mine !== turn) return;
    early.end();
    refuse(error, here);
  }
}

// Ends the screen that is shown, once; what it still has to keep is kept before the next one asks.
async function left() {
  const last = leave;
  leave = null;
  await last?.();
}

// What can't be shown is said, and what comes before it is shown: the chart's outline, which tells how
// far its reading is, else the shelf.
function refuse(error, here) {
  if (error.status === 403) return stop(say("table.no_key"));
  if (!error.status) console.error(error);
  tell(error.message, { urgent: true });
  if (here.chart && here.screen !== "outline" && error.status !== 404) go("outline", here.chart);
  else if (here.screen !== "shelf") go("shelf");
}

function mark(here) {
  document.title = `${say(`step.${here.screen}`)} · ${say("table.name")}`;
  for (const step of steps) {
    const about = "aboutChart" in step.dataset;
    step.toggleAttribute("data-off", about && !here.chart);
    if (step.dataset.step === here.screen) step.setAttribute("aria-current", "step");
    else step.removeAttribute("aria-current");
    const end = about && here.chart ? `/${here.chart}` : "";
    step.href = `#/${step.dataset.step}${end}`;
  }
}

async function end() {
  await ask.end();
  stop(say("table.ended"));
}

function stop(text) {
  left();
  turn += 1;
  work.replaceChildren(Object.assign(document.createElement("p"), { className: "note", textContent: text }));
  work.setAttribute("role", "alert");
  document.body.classList.add("over");
}

// Files may be dropped anywhere; the shelf takes them.
function takeDrops() {
  const curtain = document.getElementById("curtain");
  const isFile = (event) => event.dataTransfer?.types.includes("Files");
  addEventListener("dragover", (event) => {
    if (!isFile(event)) return;
    event.preventDefault();
    curtain.hidden = false;
  });
  addEventListener("dragleave", (event) => {
    if (!event.relatedTarget) curtain.hidden = true;
  });
  addEventListener("drop", async (event) => {
    curtain.hidden = true;
    if (!isFile(event)) return;
    event.preventDefault();
    const { take } = await import("./shelf.js");
    await take([...event.dataTransfer.files], place());
  });
}
