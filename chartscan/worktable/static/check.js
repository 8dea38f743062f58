// The check: the page on one side; questions, classes and single cells on the other.
//
// Everything that is told goes by lines ("one 3 5", "set 12,30 4"), rows and columns from 1.

import * as ask from "./ask.js";
import { Crops } from "./crops.js";
import { Grid } from "./grid.js";
import { tell as announce } from "./html.js";
import { cells as cellsPart } from "./check_cells.js";
import { classes as classesPart } from "./check_classes.js";
import { questions as questionsPart } from "./check_questions.js";
import { bitmap } from "./pictures.js";
import { Viewer } from "./viewer.js";
import { say } from "./words.js";

const NEAR = 22; // screen pixels a cell, at least, where a single cell is shown
const LOOK_MS = 400; // between two looks at how far a reading is
const LINES_FROM = 7; // screen pixels a cell from which the grid is drawn over the reading
const PARTS = { questions: questionsPart, classes: classesPart, cells: cellsPart };

export async function open(root, place) {
  const chart = place.chart;
  const panel = root.querySelector("#panel");
  const desk = { chart, place, panel, state: null, map: null, chosen: null, here: null, crops: null, act, show, name, label, pick, look };
  let leaving = false;
  let reading = false;
  let part = null;
  let shown = "";
  let paint = null; // a pixel a cell, in the colours of the classes
  let veil = null; // a pixel a cell, white where another class than the chosen one is

  const viewer = new Viewer(root.querySelector("canvas.view"), { over, press });
  await load();
  const { rows, columns, flat } = desk.state;
  desk.crops = new Crops(chart, flat);
  const box = flat ?? { cell: 16, margin: 1, side: 512, levels: 1, width: (columns + 2) * 16, height: (rows + 2) * 16 };
  viewer.plain = Boolean(flat);
  reading = !flat;
  viewer.show({ ...box, tile: (level, across, down) => bitmap("check", "tile", { chart, of: "flat", level, across, down }) });
  const grid = new Grid(root.querySelector("#grid"), rows, columns, { words, moved });
  show(first());
  refresh();

  // ---------------------------------------------------------------------- what is known

  async function load() {
    const [state, cells] = await Promise.all([
      ask.look("check", "state", { chart }).then((answer) => answer.json()),
      ask.look("check", "cells", { chart }).then((answer) => answer.arrayBuffer()),
    ]);
    know(state, new Uint16Array(cells));
  }

  function know(state, map) {
    desk.state = state;
    desk.map = map;
    if (desk.chosen !== null && !state.classes[desk.chosen]) desk.chosen = null;
    paint = pixels((index) => rgb(state.classes[index].paint));
    choose(desk.chosen);
  }

  function pixels(colour) {
    const { rows, columns } = desk.state;
    const picture = new OffscreenCanvas(columns, rows);
    const data = new ImageData(columns, rows);
    const words = new Uint32Array(data.data.buffer);
    const table = Uint32Array.from(desk.state.classes, (_, index) => colour(index));
    desk.map.forEach((index, i) => { words[i] = table[index]; });
    picture.getContext("2d").putImageData(data, 0, 0);
    return picture;
  }

  function rgb(hex) {
    const value = parseInt((hex ?? "#ffffff").slice(1), 16);
    return (255 << 24) | ((value & 255) << 16) | (value & 0xff00) | (value >> 16);
  }

  function choose(index) {
    desk.chosen = index;
    veil = index === null ? null : pixels((other) => (other === index ? 0 : (200 << 24) | 0xffffff));
    viewer.draw();
  }

  function at(row, column) {
    return desk.map[row * desk.state.columns + column];
  }

  function name(index) {
    const one = desk.state.classes[index];
    if (one.kind === "empty") return say("check.bare");
    return one.name ?? one.symbol ?? one.hex ?? "";
  }

  function label(index) {
    return say("check.class", { index, name: name(index) });
  }

  function words(row, column) {
    return say("check.cell", { row: row + 1, column: column + 1, what: label(at(row, column)) });
  }

  // -------------------------------------------------------------------------- the picture

  function over(pen, view) {
    const { rows, columns, classes, doubts } = desk.state;
    const { cell, margin } = box;
    const edge = margin * cell;
    pen.imageSmoothingEnabled = false;
    if (reading) pen.drawImage(paint, edge, edge, columns * cell, rows * cell);
    else if (veil) pen.drawImage(veil, edge, edge, columns * cell, rows * cell);
    if (reading && cell * view.scale >= LINES_FROM) lines(pen, view);
    if (reading) marks(pen, classes);
    pen.strokeStyle = "#c2185b";
    pen.lineWidth = Math.max(2 / view.scale, cell / 10);
    for (const doubt of doubts) ring(pen, ...doubt.cell, 0.15);
    if (desk.here) {
      pen.strokeStyle = "#ffffff";
      pen.lineWidth = 6 / view.scale;
      ring(pen, ...desk.here, 0.05);
      pen.strokeStyle = "#1d4f76";
      pen.lineWidth = 3 / view.scale;
      ring(pen, ...desk.here, 0.05);
    }
  }

  function ring(pen, row, column, out) {
    const { cell, margin } = box;
    pen.strokeRect((column + margin - out) * cell, (row + margin - out) * cell, (1 + 2 * out) * cell, (1 + 2 * out) * cell);
  }

  function lines(pen, view) {
    const { rows, columns } = desk.state;
    const { cell, margin } = box;
    const to = (n) => (n + margin) * cell;
    const cut = ([x, y], by) => [by(x / cell) - margin, by(y / cell) - margin].map((n, i) => Math.min(Math.max(n, 0), i ? rows : columns));
    const [left, top] = cut(view.toPicture(0, 0), Math.floor); // those in sight, of maybe thousands
    const [right, bottom] = cut(view.toPicture(view.canvas.clientWidth, view.canvas.clientHeight), Math.ceil);
    for (const [every, width, colour] of [[1, 0.5, "rgb(0 0 0 / 0.35)"], [10, 1.5, "rgb(0 0 0 / 0.8)"]]) {
      pen.beginPath();
      pen.strokeStyle = colour;
      pen.lineWidth = width / view.scale;
      for (let i = Math.ceil(left / every) * every; i <= right; i += every) {
        pen.moveTo(to(i), to(top));
        pen.lineTo(to(i), to(bottom));
      }
      for (let i = Math.ceil(top / every) * every; i <= bottom; i += every) {
        pen.moveTo(to(left), to(i));
        pen.lineTo(to(right), to(i));
      }
      pen.stroke();
    }
  }

  // Part stitches, backstitch and knots, over the cells.
  function marks(pen, classes) {
    const { cell, margin } = box;
    const to = (n) => (n + margin) * cell;
    for (const [index, row, column, shape, corner] of desk.state.parts) {
      const x = corner.includes("right") ? 1 : 0, y = corner.includes("bottom") ? 1 : 0;
      const points = shape === "quarter" ? [[x, y], [0.5, y], [0.5, 0.5], [x, 0.5]] : [[x, y], [1 - x, y], [x, 1 - y]];
      pen.fillStyle = classes[index].paint;
      pen.beginPath();
      points.forEach(([dx, dy], i) => pen[i ? "lineTo" : "moveTo"](to(column + dx), to(row + dy)));
      pen.fill();
    }
    for (const [index, points] of desk.state.lines) {
      pen.strokeStyle = classes[index].paint;
      pen.lineWidth = cell / 5;
      pen.beginPath();
      points.forEach(([x, y], i) => pen[i ? "lineTo" : "moveTo"](to(x), to(y)));
      pen.stroke();
    }
    for (const [index, x, y] of desk.state.knots) {
      pen.fillStyle = classes[index].paint;
      pen.beginPath();
      pen.arc(to(x), to(y), cell / 4, 0, 7);
      pen.fill();
    }
  }

  function press(x, y) {
    const column = Math.floor(x / box.cell) - box.margin, row = Math.floor(y / box.cell) - box.margin;
    if (row < 0 || column < 0 || row >= rows || column >= columns) return;
    grid.go(row, column, { quiet: true });
    pick(row, column);
  }

  function moved(row, column) {
    desk.here = [row, column];
    const { cell, margin } = box;
    viewer.reveal((column + margin - 1) * cell, (row + margin - 1) * cell, (column + margin + 2) * cell, (row + margin + 2) * cell);
  }

  // Bring a cell before the eyes, large enough to judge.
  function look(row, column) {
    desk.here = [row, column];
    grid?.go(row, column, { quiet: true });
    const { cell, margin } = box;
    viewer.center((column + margin + 0.5) * cell, (row + margin + 0.5) * cell, Math.max(viewer.scale, NEAR / cell));
  }

  function pick(row, column) {
    desk.here = [row, column];
    show("cells", { cell: [row, column] });
    viewer.draw();
  }

  // ------------------------------------------------------------------------------ parts

  function first() {
    const { questions, doubtful } = desk.state;
    if (questions.length) return "questions";
    return doubtful && shown === "cells" ? "cells" : "classes";
  }

  function show(which, more = {}) {
    shown = which;
    desk.choose = choose;
    if (which !== "classes") choose(null);
    for (const tab of root.querySelectorAll("[role=tab]")) {
      const on = tab.dataset.part === which;
      tab.setAttribute("aria-selected", on);
      tab.tabIndex = on ? 0 : -1;
    }
    const focused = panel.contains(document.activeElement) ? document.activeElement : null;
    part = PARTS[which](desk, more);
    panel.setAttribute("aria-labelledby", `tab-${which}`);
    if (focused && !panel.contains(focused)) refocus(focused.dataset.stay);
  }

  // The panel was drawn anew under the focus: it goes to what stands in the place of what had it.
  function refocus(stay) {
    const same = stay && panel.querySelector(`[data-stay="${stay}"]:not(:disabled)`);
    (same || panel).focus({ preventScroll: !same });
  }

  // What stands beside the parts.
  function refresh() {
    const { state } = desk;
    const stitches = state.classes.filter((one) => one.kind === "stitch");
    root.querySelector("#sum").textContent = say("check.sum", {
      columns: state.columns, rows: state.rows, stitches: stitches.reduce((sum, one) => sum + one.count, 0), classes: stitches.length });
    const open = { questions: state.questions.length, classes: stitches.length, cells: state.doubtful };
    for (const tab of root.querySelectorAll("[role=tab]")) tab.querySelector(".number").textContent = open[tab.dataset.part] || "";
    const back = root.querySelector("#undo");
    if (!state.done && back === document.activeElement) panel.focus({ preventScroll: true });
    back.disabled = !state.done;
    root.querySelector("#last").textContent = state.last ? say("check.last", { n: state.done, line: state.last }) : "";
    root.querySelector("#on").classList.toggle("main", !open.questions && !open.cells);
  }

  // ------------------------------------------------------------------------------- acts

  // Tell lines; then go on where that leads: the same part, as it stands after it.
  async function act(lines, more = {}) {
    await doing("tell", { lines }, () => announce(say("check.told", { n: lines.length })), more);
  }

  async function undo() {
    if (desk.state.done) await doing("undo", {}, (answer) => announce(say("check.undone", { line: answer.undone })));
  }

  async function doing(what, told, then, more = {}) {
    try {
      const answer = await ask.act("check", what, { chart, version: desk.state.version, ...told });
      if (answer.reading) return await again();
      if (answer.cells) know(answer.state, changed(answer.cells));
      else await load();
      then(answer);
    } catch (error) {
      announce(error.message, { urgent: true });
      if (error.status !== 409) return;
      await load();
    }
    grid.fill();
    refresh();
    const next = shown === "questions" && !desk.state.questions.length ? "classes" : shown;
    show(next, more);
    viewer.draw();
  }

  // The cells after an act, of which those that it changed are told by place and class.
  function changed(cells) {
    const map = desk.map.slice();
    for (const [place, index] of cells) map[place] = index;
    return map;
  }

  // Wait while the page is read again as far as what was told asks for.
  async function again() {
    announce(say("check.again"));
    for (;;) {
      await new Promise((then) => setTimeout(then, LOOK_MS));
      if (leaving) return;
      const { state } = await (await ask.look("outline", "state", { chart })).json();
      if (state === "read") return place.again();
      if (state !== "reading") return place.go("outline", chart);
    }
  }

  function blink(on = !reading) {
    reading = on || !flat;
    root.querySelector("#blink").setAttribute("aria-pressed", reading);
    announce(say(reading ? "check.reading" : "check.page"));
    viewer.draw();
  }

  function keys(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("dialog")) return;
    if (event.target.matches("input:not([type=radio]), textarea, select")) return;
    const key = event.key.toLowerCase();
    if (key === " " && !event.target.closest("button:not([role=tab]), a, input")) blink();
    else if (key === "z") undo();
    else if (!part?.key?.(key, event)) return;
    event.preventDefault();
  }

  function tabs(event) {
    const tab = event.target.closest("[role=tab]");
    if (event.type === "click" && tab) return show(tab.dataset.part);
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!tab || !step) return;
    const all = [...root.querySelectorAll("[role=tab]")];
    const next = all[(all.indexOf(tab) + step + all.length) % all.length];
    show(next.dataset.part);
    next.focus();
  }

  root.querySelector("[role=tablist]").addEventListener("click", tabs);
  root.querySelector("[role=tablist]").addEventListener("keydown", tabs);
  root.querySelector("#blink").addEventListener("click", () => blink());
  root.querySelector("#undo").addEventListener("click", undo);
  root.querySelector(".deck").addEventListener("click", (event) => {
    const zoom = event.target.closest("[data-zoom]")?.dataset.zoom;
    if (zoom === "0") viewer.fit();
    else if (zoom) viewer.zoom(Number(zoom));
  });
  document.addEventListener("keydown", keys);
  return () => {
    leaving = true;
    viewer.close();
    desk.crops.close();
    document.removeEventListener("keydown", keys);
  };
}
