// Threads: each class has a field for a code or a word. Empty, it offers the nearest threads; Enter
// takes the first offer and goes on to the next class.

import * as ask from "./ask.js";
import { make, tell } from "./html.js";
import { attempt, hex, refresh, rgb, settled } from "./refresh.js";
import { say } from "./words.js";

const PAUSE_MS = 120; // between the last key and the offers

export function open(root, place) {
  const offers = root.querySelector("#offers");
  let field = null; // that is being typed into
  let shown = []; // what is offered
  let at = -1; // which offer is marked
  let asked = 0;

  const list = () => root.querySelector("#threads");
  const version = () => Number(list().dataset.version);
  const again = () => refresh(root, place, "#threads").then(symbols);
  let pictures = null; // of symbols, by class; fetched once, since corrections are made elsewhere

  async function symbols() {
    const places = root.querySelectorAll("[data-symbol]");
    if (!places.length) return;
    pictures ??= ask.look("threads", "pictures", { chart: place.chart }).then((answer) => answer.json());
    const found = await pictures;
    for (const spot of places) {
      const bytes = Uint8Array.from(atob(found[spot.dataset.symbol]), (sign) => sign.charCodeAt(0));
      const source = URL.createObjectURL(new Blob([bytes], { type: "image/png" }));
      const image = make("img", { src: source, alt: "" });
      image.addEventListener("load", () => URL.revokeObjectURL(source), { once: true });
      spot.replaceChildren(image);
    }
  }

  async function act(what, told) {
    const done = await attempt(
      () => ask.act("threads", what, { chart: place.chart, version: version(), ...told }), again);
    if (done) await again();
    return done;
  }

  // ------------------------------------------------------------------ how threads are chosen

  async function choose(event) {
    const control = event.target;
    const name = control.name;
    if (control.id === "t-range" && control.value === "+") {
      root.querySelector("#t-range-file").click();
      return again();
    }
    if (control.id === "t-key") return take(control, "key");
    if (control.id === "t-range-file") return take(control, "range");
    if (!name || name === "keyed") return;
    let value = control.value;
    if (control.type === "checkbox") value = control.checked;
    else if (control.type === "color") value = rgb(value);
    else if (name === "own_within") value = Number(value);
    else if (name === "at_most") value = value ? Number(value) : null;
    await act("choose", { [name]: value });
  }

  async function take(control, what) {
    const file = control.files[0];
    if (!file) return;
    const query = { chart: place.chart, version: version(), name: file.name };
    const done = await attempt(() => ask.drop("threads", what, query, file), again);
    control.value = "";
    if (!done) return;
    await again();
    const taken = what === "key" ? say("threads.key_taken", { n: done.named }) : say("threads.range_taken", { name: done.name });
    tell([taken, done.assumed].filter(Boolean).join(" "));
  }

  // ------------------------------------------------------------------ typing a code or a word

  const classOf = (element) => Number(element.closest("[data-class]").dataset.class);

  async function offer(into) {
    const mine = ++asked;
    const query = { chart: place.chart, class: classOf(into), words: into.value };
    const found = await attempt(async () => (await ask.look("threads", "find", query)).json(), again);
    if (!found || mine !== asked || field !== into) return;
    show(found.map((thread) => ({ thread, code: thread.code, line: thread.line })), !into.value);
  }

  const offerSoon = settled(offer, PAUSE_MS);

  function show(found, blends) {
    shown = found;
    at = field.value && found.length ? 0 : -1;
    const lines = found.map(line);
    if (blends && hasColour()) lines.push(make("div", { class: "offer blend", role: "option", id: `offer-${found.length}` }, say("threads.blends")));
    if (!lines.length && field.value) lines.push(make("div", { class: "offer small", role: "option", "aria-disabled": "true" }, say("threads.none")));
    offers.replaceChildren(...lines);
    offers.hidden = !lines.length;
    field.setAttribute("aria-expanded", String(!offers.hidden));
    place_offers();
    mark();
  }

  const hasColour = () => Boolean(field.closest(".match").querySelector(".patch[data-rgb]"));

  function line(offered, number) {
    const { thread } = offered;
    const wanted = field.closest(".match").querySelector(".patch").dataset.rgb;
    const facts = [];
    if (thread.delta_e !== null) facts.push(`${thread.grade}${thread.direction ? `: ${thread.direction}` : ""} · ΔE ${thread.delta_e.toFixed(1)}`);
    if (thread.owned) facts.push(say("threads.have", { amount: thread.owned }));
    for (const other of thread.elsewhere ?? []) facts.push(say("threads.elsewhere", { project: other.project }));
    if (thread.gone) facts.push(say("threads.gone"));
    return make("div", { class: "offer", role: "option", id: `offer-${number}` },
      make("span", { class: "onto", "data-rgb": list().dataset.cloth },
        make("span", { class: "patch", "data-rgb": wanted }), make("span", { class: "patch", "data-rgb": hex(thread.rgb) })),
      make("span", {}, make("strong", {}, offered.code), ` ${thread.name} `, make("span", { class: "small" }, facts.join(" · "))));
  }

  function place_offers() {
    if (offers.hidden) return;
    const box = field.getBoundingClientRect();
    const frame = root.getBoundingClientRect();
    const width = Math.min(460, frame.width - 16);
    offers.style.width = `${width}px`;
    offers.style.left = `${Math.max(8, Math.min(box.left - frame.left, frame.width - width - 8))}px`;
    offers.style.top = `${box.bottom - frame.top + 4}px`;
  }

  function mark() {
    [...offers.children].forEach((element, number) => element.setAttribute("aria-selected", String(number === at)));
    if (at >= 0) {
      field.setAttribute("aria-activedescendant", `offer-${at}`);
      offers.children[at].scrollIntoView({ block: "nearest" });
    } else field?.removeAttribute("aria-activedescendant");
  }

  function close() {
    asked += 1;
    offers.hidden = true;
    shown = [];
    at = -1;
    field?.setAttribute("aria-expanded", "false");
    field?.removeAttribute("aria-activedescendant");
    field = null;
  }

  async function takeOffer(number) {
    if (number >= shown.length) return blends();
    const offered = shown[number];
    await pick(field, offered.code, offered.line);
  }

  async function pick(into, code, line = "") {
    const index = classOf(into);
    const fields = [...root.querySelectorAll(".typing input")];
    const next = fields[fields.indexOf(into) + 1];
    const goal = next && classOf(next);
    const keyed = root.querySelector("#t-keyed").checked;
    close();
    const done = await act("pick", { class: index, code, line, keyed });
    if (done && goal !== undefined) root.querySelector(`#code-${goal}`)?.focus();
    if (done) tell(say("threads.picked", { number: index, code }));
  }

  async function blends() {
    const into = field;
    const query = { chart: place.chart, class: classOf(into) };
    const found = await attempt(async () => (await ask.look("threads", "blends", query)).json(), again);
    if (!found || field !== into) return;
    if (!found.length) tell(say("threads.no_blends"));
    show(found.map((blend) => ({
      code: blend.threads.map((thread) => thread.code).join("+"),
      line: blend.threads[0].line,
      thread: { ...blend, name: blend.threads.map((thread) => thread.name).join(" + "), owned: null },
    })), false);
  }

  function typed(event) {
    if (!event.target.matches(".typing input")) return;
    field = event.target;
    offerSoon(field);
  }

  function entered(event) {
    close(); // what was offered for another class isn't offered for this one
    if (!event.target.matches(".typing input")) return;
    field = event.target;
    offer(field);
  }

  async function key(event) {
    if (!event.target.matches(".typing input")) return;
    const count = offers.hidden ? 0 : offers.children.length;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      if (!count) return;
      event.preventDefault();
      at = (at + (event.key === "ArrowDown" ? 1 : count + (at < 0 ? 0 : -1))) % count;
      mark();
    } else if (event.key === "Enter") {
      event.preventDefault();
      field = event.target;
      if (at >= 0) return takeOffer(at);
      if (field.value.trim()) await pick(field, field.value.trim());
    } else if (event.key === "Escape") {
      event.target.value = "";
      close();
    }
  }

  function pressed(event) {
    const go = event.target.closest("[data-go]");
    if (go) return place.go(go.dataset.go, place.chart);
    const unpick = event.target.closest("[data-unpick]");
    if (unpick) return act("pick", { class: classOf(unpick), code: "" });
    if (!event.target.closest(".typing, #offers")) close();
  }

  offers.addEventListener("pointerdown", (event) => {
    event.preventDefault(); // the field keeps the focus
    const line = event.target.closest(".offer");
    if (line && field) takeOffer([...offers.children].indexOf(line));
  });
  const heard = [["change", choose], ["input", typed], ["focusin", entered], ["keydown", key], ["click", pressed]];
  for (const [name, listener] of heard) root.addEventListener(name, listener);
  root.addEventListener("submit", stop);
  addEventListener("resize", place_offers);
  symbols();
  return () => {
    for (const [name, listener] of heard) root.removeEventListener(name, listener);
    root.removeEventListener("submit", stop);
    removeEventListener("resize", place_offers);
  };
}

function stop(event) {
  event.preventDefault();
}
