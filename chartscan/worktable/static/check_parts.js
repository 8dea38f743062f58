// What the parts of the check share: crops, and a class as a choice.

import { make } from "./html.js";
import { say } from "./words.js";

const KEYS = 9; // classes that have a key of their own
const DENSE = Math.min(devicePixelRatio || 1, 2);

// A canvas with a cell of the page on it.
export function crop(desk, row, column, { size = 44, around = 0.15, ring = false } = {}) {
  const canvas = make("canvas", { width: size * DENSE, height: size * DENSE, class: `crop s${size}`, "aria-hidden": "true" });
  desk.crops.draw(canvas, row, column, around, ring).catch(() => {}); // the picture went meanwhile
  return canvas;
}

// Swatch and words of a class.
export function sign(desk, index) {
  const one = desk.state.classes[index];
  const cell = one.cells[0];
  return [
    make("span", { class: one.hex ? "swatch" : "swatch none", "data-rgb": one.hex, "aria-hidden": "true" }),
    ...(cell ? [crop(desk, ...cell, { size: 32 })] : []),
    make("span", {}, desk.label(index)),
  ];
}

// Choices of a class, numbered from 1: radio buttons, the first of them chosen.
export function choices(desk, indices, then) {
  const group = make("div", { role: "radiogroup", "aria-label": say("check.which"), class: "choices" });
  indices.forEach((index, i) => {
    const radio = make("input", { type: "radio", name: "class", value: index, checked: i === 0 });
    radio.addEventListener("keydown", (event) => event.key === "Enter" && then(index));
    const label = make("label", {}, radio, ...(i < KEYS ? [make("kbd", { "aria-hidden": "true" }, String(i + 1))] : []), ...sign(desk, index));
    radio.addEventListener("click", (event) => event.detail && then(index)); // by pointer, not by arrow keys
    group.append(label);
  });
  return group;
}

export function place(row, column) {
  return `${row + 1},${column + 1}`;
}
