// The classes beside the page: look-alikes first, then each with its count and a sheet of its cells.

import * as ask from "./ask.js";
import { choices, crop, place, sign } from "./check_parts.js";
import { make, tell } from "./html.js";
import { say } from "./words.js";

const SHEET = 120; // crops of a class shown at a time

export function classes(desk, { from = 0, strangers = [] } = {}) {
  const { panel, state } = desk;
  const chosen = desk.chosen;
  const pairs = state.alike;
  let moving = null; // what the picked strangers may be, and what makes them one of these
  panel.replaceChildren(
    ...(chosen === null ? alike() : sheet()),
    make("p", { class: "keyhead small", "aria-hidden": "true" }, say("check.key_head")),
    make("ul", { class: "classes", "aria-label": say("check.part_classes") }, ...state.classes.map(row)),
  );
  return {
    key(key) {
      if (key === "escape" && chosen !== null) return open(null), true;
      if (chosen === null && pairs.length && (key === "1" || key === "2")) {
        const [first, second] = pairs[0];
        return desk.act([`${key === "1" ? "one" : "apart"} ${first} ${second}`]), true;
      }
      const into = moving?.others[Number(key) - 1];
      if (into !== undefined) return moving.set(into), true;
      return false;
    },
  };

  function open(index, more) {
    desk.choose(index);
    desk.show("classes", more);
  }

  // ----------------------------------------------------------------------- look-alikes

  function alike() {
    if (!pairs.length) return [];
    return [
      make("h2", {}, say("check.alike", { n: pairs.length })),
      make("ul", { class: "pairs" }, ...pairs.map(([first, second], i) => {
        const one = button("one", i ? "" : "1", () => desk.act([`one ${first} ${second}`]));
        const two = button("two", i ? "" : "2", () => desk.act([`apart ${first} ${second}`]));
        return make("li", {}, make("div", { class: "pair" }, side(first), side(second)), make("div", { class: "row" }, one, two));
      })),
    ];
  }

  function side(index) {
    const one = state.classes[index];
    return make("div", {},
      make("span", { class: "wide swatch", "data-rgb": one.hex, "aria-hidden": "true" }),
      make("div", { class: "row" }, ...one.cells.map(([row, column]) => crop(desk, row, column))),
      make("span", { class: "small" }, desk.label(index), " · ", say("check.count", { n: one.count })));
  }

  function button(word, key, then) {
    const made = make("button", { type: "button" }, say(`check.${word}`), ...(key ? [" ", make("kbd", {}, key)] : []));
    made.addEventListener("click", then);
    return made;
  }

  // ------------------------------------------------------------------------ the classes

  function row(one) {
    const look = make("button", { type: "button", class: "classrow", "data-stay": `class-${one.index}`, "aria-pressed": String(chosen === one.index) }, ...sign(desk, one.index),
      make("span", { class: "count" }, say(`check.count_${one.kind}`, { n: one.count })));
    look.addEventListener("click", () => open(chosen === one.index ? null : one.index));
    if (one.kind !== "stitch") return make("li", {}, look);
    const key = make("input", { type: "number", min: 0, inputmode: "numeric", value: one.key, "aria-label": say("check.key_says", { what: desk.label(one.index) }) });
    const line = make("li", {}, look, key);
    key.addEventListener("change", () => note(line, one, Number(key.value) || 0));
    hold(line, one);
    return line;
  }

  // Whether the count is what the key says of it.
  function hold(line, one) {
    const off = one.key && one.key !== one.count;
    line.className = off ? "off" : "";
    line.querySelector(".keyed")?.remove();
    if (one.key) line.append(make("span", { class: `keyed small ${off ? "open" : "clear"}` }, off ? say("check.key_off", { n: one.count - one.key }) : say("check.key_right")));
  }

  // Only this line is drawn anew: the next count may be half typed by the time the answer comes.
  async function note(line, one, count) {
    try {
      const answer = await ask.act("check", "note", { chart: desk.chart, version: state.version, class: one.index, count });
      state.version = answer.version;
      one.key = count || null;
      hold(line, one);
    } catch (error) {
      tell(error.message, { urgent: true });
    }
  }

  // ------------------------------------------------------- all cells of one class on a sheet

  function sheet() {
    const one = state.classes[chosen];
    const places = [];
    desk.map.forEach((index, i) => index === chosen && places.push([Math.floor(i / state.columns), i % state.columns]));
    const shown = places.slice(from, from + SHEET);
    const picked = new Set(strangers);
    const cuts = shown.map(([row, column]) => {
      const name = place(row, column);
      const cut = make("button", { type: "button", class: "cut", "aria-pressed": String(picked.has(name)), "aria-label": say("check.cut", { row: row + 1, column: column + 1 }) },
        crop(desk, row, column, { size: 32 }));
      cut.addEventListener("click", () => {
        if (!picked.delete(name)) picked.add(name);
        cut.setAttribute("aria-pressed", String(picked.has(name)));
        into.replaceChildren(...moveTo(picked));
        desk.here = [row, column];
        desk.look(row, column);
      });
      return cut;
    });
    const into = make("div", {}, ...moveTo(picked));
    const back = button("back", "Esc", () => open(null));
    back.dataset.stay = `class-${chosen}`; // the line that led here
    const turn = (by, word) => {
      const made = button(word, "", () => desk.show("classes", { from: from + by }));
      made.dataset.stay = word;
      made.disabled = from + by < 0 || from + by >= places.length;
      return made;
    };
    return [
      make("h2", {}, desk.label(chosen)),
      make("p", { class: "small" }, places.length ? say("check.sheet") : say("check.no_cells")),
      make("div", { class: "sheet", role: "group", "aria-label": say("check.sheet_of", { what: desk.label(chosen) }) }, ...cuts),
      ...(places.length > SHEET ? [make("p", { class: "row" }, turn(-SHEET, "before"), turn(SHEET, "after"),
        make("span", { class: "small" }, say("check.of", { from: from + 1, to: Math.min(from + SHEET, places.length), n: places.length })))] : []),
      into,
      ...renaming(one),
      back,
    ];
  }

  // What the picked strangers are.
  function moveTo(picked) {
    moving = null;
    if (!picked.size) return [];
    const others = state.classes.filter((one) => one.index !== chosen && (one.kind === "stitch" || one.kind === "empty")).map((one) => one.index);
    const set = (index) => desk.act([...picked].map((name) => `set ${name} ${index}`), { from });
    moving = { others, set };
    return [make("h2", {}, say("check.picked", { n: picked.size })), choices(desk, others, set)];
  }

  function renaming(one) {
    if (one.kind !== "stitch") return [];
    const field = make("input", { type: "text", maxlength: 40, value: one.name ?? "", "aria-label": say("check.name") });
    const form = make("form", { class: "row" }, field, make("button", { type: "submit" }, say("check.call_it")));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      desk.act([`name ${chosen} ${quoted(field.value)}`], { from });
    });
    const bare = button("is_bare", "", () => desk.act([`ground ${chosen}`]));
    return [form, make("p", {}, bare)];
  }
}

// A word as a line takes it, spaces and quotes in it.
function quoted(text) {
  return `'${text.replace(/'/g, "’")}'`;
}
