// Single cells: those that the reader doubts, one after the other; or one that was pointed at.

import { choices, crop, place } from "./check_parts.js";
import * as ask from "./ask.js";
import { make } from "./html.js";
import { say } from "./words.js";

export function cells(desk, { cell = null, number = 0, back = null } = {}) {
  const { panel, state } = desk;
  const at = Math.min(number, state.doubts.length - 1);
  const doubt = cell === null ? state.doubts[at] : state.doubts.find((one) => one.cell[0] === cell[0] && one.cell[1] === cell[1]);
  const where = cell ?? doubt?.cell;
  let offered = doubt?.candidates ?? [];
  if (!where) {
    desk.here = null;
    panel.replaceChildren(make("p", { class: "clear" }, say("check.no_cells_open")));
    return {};
  }
  const [row, column] = where;
  const set = (index) => desk.act([`set ${place(row, column)} ${index}`], { number: back ?? at });
  const go = (by) => desk.show("cells", { number: (at + by + state.doubts.length) % state.doubts.length });
  const step = (by, word, key) => {
    const made = make("button", { type: "button", class: "quiet", "data-stay": word }, say(`check.${word}`), " ", make("kbd", {}, key));
    made.addEventListener("click", () => go(by));
    return made;
  };
  const list = make("div", {}, ...(offered.length ? [choices(desk, offered, set)] : []));
  if (!offered.length) {
    ask.look("check", "candidates", { chart: desk.chart, row, column }).then((answer) => answer.json()).then((told) => {
      offered = told.candidates;
      list.replaceChildren(choices(desk, offered, set));
    });
  }
  panel.replaceChildren(
    make("p", { class: "small" }, cell === null ? say("check.doubt", { number: at + 1, of: state.doubtful }) : say("check.pointed")),
    make("div", { class: "row one" }, crop(desk, row, column, { size: 132, around: 1.5, ring: true }),
      make("p", {}, say("check.where", { row: row + 1, column: column + 1 }), ...(doubt?.reason ? [make("br"), doubt.reason] : []))),
    list,
    ...(state.doubts.length > 1 ? [make("p", { class: "row" }, step(-1, "before", "P"), step(1, "later", "L"))] : []),
  );
  if (cell === null) desk.look(row, column);
  return {
    key(key, event) {
      if (key === "l" && state.doubts.length) return go(1), true;
      if (key === "p" && state.doubts.length) return go(-1), true;
      if (key === "enter" && !event.target.closest("button, a, input") && offered.length) return set(offered[0]), true;
      const index = offered[Number(key) - 1];
      if (index !== undefined) set(index);
      return index !== undefined;
    },
  };
}
