// Fabric: every move of a control asks for the figures; the next question waits for the last answer,
// and takes what the controls say by then. What stands beside the chosen fabric follows in a pause.

import * as ask from "./ask.js";
import { dress, make } from "./html.js";
import { attempt, hex, settled } from "./refresh.js";
import { say } from "./words.js";

const PAUSE_MS = 250; // after the last move: keep what is chosen, work out the other fabrics
const SVG = "http://www.w3.org/2000/svg";
const PIECE_PX = 120; // longer side of a drawn piece

export function open(root, place) {
  const form = root.querySelector("#fabric");
  const cloths = [...form.querySelectorAll(".cloth")];
  let busy = false;
  let moved = false;
  let gone = false;

  function told() {
    const strands = form.elements.strands.value;
    return {
      count: Number(form.querySelector("#f-count").value),
      over: Number(form.querySelector("#f-over").value),
      strands: strands ? Number(strands) : null,
      copies: Number(form.elements.copies.value),
      margin_mm: Number(form.elements.margin_mm.value),
      risk: Number(form.elements.risk.value),
    };
  }

  async function look(what, controls) {
    const query = { chart: place.chart, told: JSON.stringify(controls) };
    return attempt(async () => (await ask.look("fabric", what, query)).json(), place.again);
  }

  // One question at a time; the latest controls are always the last to be answered.
  async function reckon() {
    moved = true;
    root.querySelector("#f-margin-told").textContent = say("fabric.cm", { cm: (told().margin_mm / 10).toFixed(1) });
    if (busy) return;
    busy = true;
    while (moved && !gone) {
      moved = false;
      const found = await look("reckon", told());
      if (found && !gone) show(found);
    }
    busy = false;
  }

  function show({ fabrics, chosen, pieces }) {
    cloths.forEach((cloth, number) => {
      const sizes = fabrics[number];
      if (sizes) cloth.querySelector("[data-part=finished]").textContent = sizes.finished;
      if (sizes && cloth.querySelector("input").checked) showNeeds(cloth, chosen);
    });
    facts(chosen);
    root.querySelector("#f-cautions").replaceChildren(...chosen.warnings.map((words) => make("li", {}, words)));
    root.querySelector("#f-fit").replaceChildren(...(pieces.length ? pieces.map(piece) : [make("p", { class: "small" }, say("fabric.no_piece"))]));
    root.querySelector("#f-chance").textContent = chosen.chance;
    table(chosen.threads);
  }

  const showNeeds = (cloth, needs) => {
    cloth.querySelector("[data-part=needs]").textContent = `${needs.metres}, ${say("fabric.skeins_n", { n: needs.skeins })}`;
  };

  function facts(chosen) {
    const pairs = [
      [say("fabric.finished"), chosen.finished],
      [say("fabric.cut"), chosen.cut],
      [say("fabric.thread_all"), `${chosen.metres} (${chosen.yards})`],
      [say("fabric.skeins"), say("fabric.to_have", { n: chosen.skeins, buy: chosen.to_buy })],
      [say("fabric.strands"), chosen.strands],
    ];
    if (chosen.price !== null) pairs.push([say("fabric.price"), chosen.price.toFixed(2)]);
    const told = pairs.map(([name, value]) => make("div", {}, make("dt", {}, name), make("dd", {}, value)));
    root.querySelector("#f-facts").replaceChildren(...told);
  }

  // A piece to scale, with what is to be cut from it.
  function piece(one) {
    const [width, height] = one.size_mm;
    const scale = PIECE_PX / Math.max(width, height);
    const rect = (attributes) => {
      const element = document.createElementNS(SVG, "rect");
      for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
      return element;
    };
    const drawn = document.createElementNS(SVG, "svg");
    drawn.setAttribute("width", width * scale);
    drawn.setAttribute("height", height * scale);
    drawn.setAttribute("aria-hidden", "true");
    drawn.append(rect({ class: "ground", width: width * scale, height: height * scale, fill: one.rgb ? hex(one.rgb) : "none" }));
    for (let copy = 0; copy < one.copies; copy += 1) {
      const across = copy % one.across;
      const down = Math.floor(copy / one.across);
      const [w, h] = one.cut_mm.map((side) => side * scale);
      drawn.append(rect({ class: "cut", x: across * w, y: down * h, width: w, height: h }));
    }
    const words = [one.colour, one.fibre, one.size].filter(Boolean).join(", ");
    return make("figure", {}, drawn, make("figcaption", {}, make("strong", {}, one.label), ` ${words}`));
  }

  function table(threads) {
    const cell = (name, value, number = true) => make("td", { "data-head": say(`fabric.${name}`), class: number && "number" }, value);
    const rows = threads.map((one) => make("tr", {},
      make("td", {}, make("span", { class: "swatch", "data-rgb": hex(one.rgb) })),
      make("th", { scope: "row" }, make("button", { type: "button", class: "quiet", "data-class": one.class, "aria-expanded": "false", title: say("fabric.explain") },
        make("strong", {}, one.code), ` ${one.name}`)),
      cell("stitches", one.stitches.toLocaleString()),
      cell("metres", make("span", {}, one.metres, " ", make("span", { class: "small" }, say("fabric.range", { low: one.low, high: one.high })))),
      cell("skeins", String(one.skeins)),
      cell("chance", one.chance, false),
      cell("have", one.owned ?? "–"),
      cell("buy", one.to_buy ? make("strong", {}, String(one.to_buy)) : "–")));
    const body = root.querySelector("#f-table tbody");
    body.replaceChildren(...rows);
    dress(body);
  }

  // In a pause: keep what is chosen, then look at the other fabrics one by one.
  const settle = settled(async () => {
    const controls = told();
    const kept = await attempt(
      () => ask.act("fabric", "choose", { chart: place.chart, version: Number(form.dataset.version), ...controls }), place.again);
    if (kept) form.dataset.version = kept.version;
    if (!gone) await others();
  }, PAUSE_MS);

  async function others() {
    const controls = JSON.stringify(told());
    for (const cloth of cloths) {
      const [count, over] = cloth.querySelector("input").value.split("/").map(Number);
      if (cloth.querySelector("input").checked) continue;
      const needs = await look("compare", { ...told(), count, over });
      if (gone || JSON.stringify(told()) !== controls) return;
      if (needs) showNeeds(cloth, needs);
    }
  }

  function changed(event) {
    if (event.target.name === "cloth-count") {
      const [count, over] = event.target.value.split("/");
      root.querySelector("#f-count").value = count;
      root.querySelector("#f-over").value = over;
    } else if (event.target.id === "f-count" || event.target.id === "f-over") {
      const { count, over } = told();
      for (const cloth of cloths) cloth.querySelector("input").checked = cloth.querySelector("input").value.split("/").map(Number).join() === [count, over].join();
    }
    reckon();
    settle();
  }

  // Where a length comes from, in a row below its thread; pressed again, it goes.
  async function explain(button) {
    const row = button.closest("tr");
    const open = button.getAttribute("aria-expanded") === "true";
    button.setAttribute("aria-expanded", String(!open));
    if (open) return row.nextElementSibling.remove();
    const query = { chart: place.chart, told: JSON.stringify(told()), class: button.dataset.class };
    const found = await attempt(async () => (await ask.look("fabric", "explain", query)).json(), place.again);
    if (!found || !row.isConnected) return;
    const parts = found.map((one) => make("div", {},
      make("p", {}, `${say("fabric.class", { number: one.class })}: ${one.work.map((work) => `${work.number.toLocaleString()} × ${work.kind}`).join(", ")}`),
      make("ul", {}, ...one.terms.map((term) => make("li", {}, `${term.name} ${term.length}`, make("span", { class: "small" }, term.note && ` ${term.note}`)))),
      make("p", { class: "small" }, say("fabric.least", { length: one.least }))));
    row.after(make("tr", { class: "terms" }, make("td", { colspan: "8" }, ...parts)));
  }

  const pressed = (event) => {
    const go = event.target.closest("[data-go]");
    if (go) return place.go(go.dataset.go, place.chart);
    const button = event.target.closest("button[data-class]");
    if (button) explain(button);
  };
  const stop = (event) => event.preventDefault();
  form.addEventListener("input", changed);
  form.addEventListener("submit", stop);
  root.addEventListener("click", pressed);
  reckon().then(() => gone || others());
  return () => {
    gone = true;
    root.removeEventListener("click", pressed);
    return settle.now(); // what was moved last is kept, however soon one leaves
  };
}
