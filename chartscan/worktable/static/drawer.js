// Drawer: one part at a time, narrowed while one types; adding, taking back, papers.

import * as ask from "./ask.js";
import { dress, make, tell } from "./html.js";
import { attempt, hex, rgb, settled } from "./refresh.js";
import { frame } from "./paper.js";
import { say } from "./words.js";

const PAUSE_MS = 120; // between the last key and the rows

export function open(root, place) {
  const words = root.querySelector("#d-words");
  const rows = root.querySelector("#d-rows");
  let asked = 0;

  const part = () => root.querySelector("[name=part]:checked").value;

  async function list() {
    const mine = ++asked;
    const query = { part: part(), words: words.value };
    const found = await attempt(async () => (await ask.look("drawer", "list", query)).json(), list);
    if (!found || mine !== asked) return;
    const shown = found.rows.map(shows[query.part]);
    rows.replaceChildren(...(shown.length ? [make("ul", { class: "things" }, ...shown)] : []));
    dress(rows);
    for (const told of root.querySelectorAll("[data-count]")) {
      const count = found.counts[told.dataset.count];
      told.textContent = count === undefined ? "" : `(${count})`;
    }
    root.querySelector("#d-count").textContent = found.rows.length < found.all
      ? say("drawer.first", { shown: found.rows.length, n: found.all })
      : say(query.words ? "drawer.found" : "drawer.in_all", { n: found.all });
  }

  const swatch = (colour) => (colour ? make("span", { class: "swatch", "data-rgb": hex(colour) }) : make("span", { class: "swatch none" }));
  const thing = (head, ...facts) => make("li", { class: "thing" }, ...head, make("div", {}, ...facts.flat().filter(Boolean)));
  const name = (row) => make("p", {}, make("strong", {}, row.name), row.words ? ` ${row.words}` : "");
  const small = (text) => text && make("p", { class: "small" }, text);
  const owned = (row) => [
    !row.opened_only && say("drawer.have", row),
    row.parts.length && say("drawer.part_skeins", { parts: row.parts.join(" + ") }),
  ].filter(Boolean).join(" · ");
  const held = (row) => row.holders.map((one) => make("p", { class: "small" }, say("drawer.held", one)));

  const shows = {
    threads: (row) => thing([swatch(row.rgb)], name(row),
      make("p", {}, owned(row)),
      held(row), small(row.lots.length && say("drawer.lots", { lots: row.lots.join(", ") }))),
    fabrics: (row) => thing([swatch(row.rgb)], name(row), make("p", {}, row.size), held(row), small(row.note)),
    notions: (row) => thing([], name(row), make("p", {}, say("drawer.have_notion", row)), small(row.note)),
    charts: (row) => thing([], name(row), small(row.note)),
    projects: (row) => thing([], name(row),
      make("p", {}, [row.state, row.place, row.deadline && say("drawer.by", { day: row.deadline })].filter(Boolean).join(" · ")),
      lacks(row),
      make("button", { type: "button", "data-paper": "label", "data-project": row.name }, say("drawer.label"))),
    past: (row) => thing([], make("p", {}, make("strong", {}, row.name), ` ${row.kind}`),
      make("p", {}, [row.owned, row.promised && say("drawer.promised", { amount: row.promised })].filter(Boolean).join(" · ")),
      small([new Date(row.time).toLocaleString(), row.number, row.why].filter(Boolean).join(" · ")),
      row.taken_back ? small(say("drawer.taken_back")) : make("button", { type: "button", "data-back": String(row.act) }, say("drawer.take_back", { number: row.act }))),
  };

  function lacks(row) {
    if (row.ready) return make("p", { class: "good-words" }, say("drawer.ready"));
    if (!row.lacks) return null;
    if (!row.lacks.known) return small(say("drawer.unknown"));
    const told = ["skeins", "fabrics", "notions", "charts"].filter((what) => row.lacks[what]);
    return small(say("drawer.lacks", { what: told.map((what) => say(`drawer.lacks_${what}`, { n: row.lacks[what] })).join(", ") }));
  }

  // ------------------------------------------------------------------ acts

  async function add(event) {
    event.preventDefault();
    const form = event.target;
    const told = {};
    for (const control of form.elements) {
      if (!control.name) continue;
      if (control.type === "number") told[control.name] = Number(control.value);
      else told[control.name] = control.type === "color" ? rgb(control.value) : control.value;
    }
    const done = await attempt(() => ask.act("drawer", form.dataset.add, told), list);
    if (!done) return;
    tell(say("drawer.added", { name: done.name }));
    const first = form.querySelector("input:not([type=number])");
    if (form.dataset.add !== "add_fabric") first.value = "";
    first.focus();
    root.querySelector(".note")?.remove();
    await list();
  }

  async function pressed(event) {
    const button = event.target.closest("button");
    if (button?.dataset.back) {
      const done = await attempt(() => ask.act("drawer", "take_back", { act: Number(button.dataset.back) }), list);
      if (done) tell(say("drawer.took_back", { number: Number(button.dataset.back), as: done.number }));
      if (done) await list();
    } else if (button?.dataset.paper) {
      const { paper, project } = button.dataset;
      const shown = root.querySelector("#d-frame");
      await attempt(() => frame(shown, "drawer", { paper, project }), list);
      root.querySelector("#d-print").hidden = shown.hidden;
      shown.scrollIntoView({ block: "nearest" });
    } else if (button?.id === "d-print") root.querySelector("#d-frame").contentWindow.print();
  }

  const suggest = settled(async (field) => {
    const query = { range: root.querySelector("#d-range").value, words: field.value };
    const found = await attempt(async () => (await ask.look("drawer", "look_up", query)).json(), list);
    if (found) root.querySelector("#d-codes").replaceChildren(...found.map((thread) => make("option", { value: thread.code }, thread.name)));
  }, PAUSE_MS);

  const listSoon = settled(list, PAUSE_MS);
  const typed = (event) => {
    if (event.target === words) listSoon();
    if (event.target.id === "d-code") suggest(event.target);
  };
  const changed = (event) => event.target.name === "part" && list();
  const heard = [["input", typed], ["change", changed], ["click", pressed], ["submit", add]];
  for (const [kind, listener] of heard) root.addEventListener(kind, listener);
  list();
  return () => {
    for (const [kind, listener] of heard) root.removeEventListener(kind, listener);
  };
}
