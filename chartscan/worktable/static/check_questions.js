// What the reader isn't sure of, one question at a time, the dearest first.

import { crop } from "./check_parts.js";
import { make } from "./html.js";
import { say } from "./words.js";

const SHOWN = 12; // crops: as many as are taken in at a look

export function questions(desk, { later = 0 } = {}) {
  const { panel, state } = desk;
  const all = state.questions;
  if (!all.length) {
    panel.replaceChildren(make("p", { class: "clear" }, say("check.no_questions")));
    return {};
  }
  const number = later % all.length;
  const question = all[number];
  const answer = (one) => desk.act([one.tell], { later: number });
  const list = make("ol", { class: "answers" }, ...question.answers.map((one, i) => {
    const button = make("button", { type: "button", class: i ? "" : "main" },
      make("kbd", { "aria-hidden": "true" }, String(i + 1)), " ", one.text, " ",
      make("span", { class: "small" }, say("check.chance", { percent: Math.round(one.chance * 100) })));
    button.addEventListener("click", () => answer(one));
    return make("li", {}, button);
  }));
  const wait = make("button", { type: "button", class: "quiet", "data-stay": "later" }, say("check.later"), " ", make("kbd", {}, "L"));
  wait.addEventListener("click", () => desk.show("questions", { later: number + 1 }));
  const cells = question.cells.slice(0, SHOWN).map(([row, column]) => {
    const button = make("button", { type: "button", class: "cut", "aria-label": say("check.look_at", { row: row + 1, column: column + 1 }) },
      crop(desk, row, column, { around: 1, ring: true }));
    button.addEventListener("click", () => desk.look(row, column));
    return button;
  });
  panel.replaceChildren(
    make("p", { class: "small" }, say("check.question", { number: number + 1, of: all.length })),
    make("p", { class: "asked" }, question.text),
    make("div", { class: "sheet" }, ...cells),
    list,
    ...(all.length > 1 ? [wait] : []),
  );
  if (question.cells.length) desk.look(...question.cells[0]);
  return {
    key(key) {
      if (key === "l") return desk.show("questions", { later: number + 1 }), true;
      const one = question.answers[Number(key) - 1];
      if (one) answer(one);
      return Boolean(one);
    },
  };
}
