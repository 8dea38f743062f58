// The outline: the page with the grid over it; corners and size are told here.

import * as ask from "./ask.js";
import { make, tell } from "./html.js";
import { bitmap, fill } from "./pictures.js";
import { Viewer } from "./viewer.js";
import { say } from "./words.js";

const LOOK_MS = 400; // between two looks at how far the reading is
const NAMES = ["top_left", "top_right", "bottom_right", "bottom_left"];
const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const INSET = 0.08; // where corners stand on a page of which nothing is known

export async function open(root, place) {
  const chart = place.chart;
  const fields = root.querySelector("#fields");
  const busy = root.querySelector("#busy");
  let timer = 0;
  let gone = false;
  let state = await (await ask.look("outline", "state", { chart })).json();
  // A reading may end, or pages be counted, between the page's making and this look.
  const made = root.querySelector("[data-state]").dataset;
  if (made.state !== state.state || Number(made.of) !== (state.told.of ?? 0)) return place.again();
  let corners = null; // of the one page, in its pixels
  let moved = false;

  const viewer = new Viewer(root.querySelector("canvas"), { over, moved: setHandles });
  const handles = NAMES.map((name, number) => handle(name, number));
  fill(root);
  await showPage();
  fillFields();
  wait();

  // ------------------------------------------------------------------------ the page

  async function showPage() {
    const page = state.pages[0];
    if (page && state.state !== "reading") {
      viewer.show({ ...page, tile: (level, across, down) => bitmap("outline", "tile", { chart, of: "page-1", level, across, down }) });
      corners = state.told.corners ?? page.corners ?? inset(page);
      if (state.pages.length === 1) root.querySelector(".handles").append(...handles);
      viewer.draw();
      return;
    }
    if (!state.seen) return;
    const first = await bitmap("outline", "first", { chart });
    const side = Math.max(first.width, first.height);
    viewer.show({ width: first.width, height: first.height, side, levels: 1, tile: async () => first });
  }

  // Pictures of pages to pick from, as they come; what is ticked stays ticked.
  function showLeaves() {
    for (const leaf of root.querySelectorAll("[name=leaf]")) {
      const image = leaf.parentElement.querySelector("img");
      if (Number(leaf.value) <= state.leaves) Object.assign(image.dataset, { look: "outline/leaf", chart, number: leaf.value });
    }
    fill(root);
  }

  function inset({ width, height }) {
    const [x, y] = [width * INSET, height * INSET];
    return [[x, y], [width - x, y], [width - x, height - y], [x, height - y]];
  }

  // The grid as it was read, or as the corners and the size that are told would have it.
  function over(pen, view) {
    if (!corners) return;
    const page = state.pages[0];
    pen.lineWidth = 1.5 / view.scale;
    pen.strokeStyle = "#c2185b";
    const lines = moved || !page.lines ? even(corners, ...told("columns", "rows")) : page.lines;
    for (const line of lines) {
      pen.beginPath();
      line.forEach(([x, y], i) => (i ? pen.lineTo(x, y) : pen.moveTo(x, y)));
      pen.stroke();
    }
  }

  function told(...names) {
    return names.map((name) => Number(fields.elements[name].value || fields.elements[name].placeholder) || 0);
  }

  // -------------------------------------------------------------------------- corners

  function handle(name, number) {
    const button = make("button", { type: "button", class: "corner", "aria-label": say(`outline.${name}`) });
    button.addEventListener("pointerdown", (event) => {
      button.setPointerCapture(event.pointerId);
      const box = viewer.canvas.getBoundingClientRect();
      const drag = (on) => moveTo(number, viewer.toPicture(on.clientX - box.left, on.clientY - box.top));
      button.addEventListener("pointermove", drag);
      button.addEventListener("pointerup", () => button.removeEventListener("pointermove", drag), { once: true });
      button.addEventListener("pointercancel", () => button.removeEventListener("pointermove", drag), { once: true });
    });
    button.addEventListener("keydown", (event) => {
      const step = STEPS[event.key];
      if (!step) return;
      event.preventDefault();
      const far = event.shiftKey ? 10 : 1;
      const [x, y] = corners[number];
      moveTo(number, [x + step[0] * far, y + step[1] * far]);
    });
    return button;
  }

  function moveTo(number, [x, y]) {
    const { width, height } = viewer.source;
    corners = corners.map((corner, i) =>
      i === number ? [Math.min(Math.max(x, 0), width), Math.min(Math.max(y, 0), height)] : corner);
    moved = true;
    changed();
    viewer.draw();
  }

  function setHandles(view) {
    corners?.forEach(([x, y], number) => {
      const [px, py] = view.toScreen(x, y);
      handles[number].style.transform = `translate(${px}px, ${py}px)`;
    });
  }

  // --------------------------------------------------------------------------- fields

  function fillFields() {
    const page = state.pages[0];
    const found = root.querySelector("#found");
    if (page?.cells && state.pages.length === 1) {
      fields.elements.columns.placeholder = page.cells[0];
      fields.elements.rows.placeholder = page.cells[1];
    }
    if (found) {
      found.textContent = state.pages.length
        ? state.pages.map((one) => say("outline.found", { columns: one.cells[0], rows: one.cells[1] })).join(" + ")
        : say("outline.no_picture");
    }
    if (state.told.size) [fields.elements.columns.value, fields.elements.rows.value] = state.told.size;
    if (state.told.colours) fields.elements.colours.value = state.told.colours;
    changed();
  }

  // What is told differs from what was read: then to read again is the next step, else to accept.
  function changed() {
    const accept = root.querySelector("#accept");
    const read = root.querySelector("#read");
    const differs = moved || ["columns", "rows", "colours", "across"].some((name) => {
      const field = fields.elements[name];
      return field && field.value !== field.defaultValue && field.value !== String(field.placeholder)
        && field.value !== String(wasTold(name) ?? "");
    });
    if (accept) {
      accept.classList.toggle("main", !differs);
      read.classList.toggle("main", differs);
    }
    return differs;
  }

  function wasTold(name) {
    const { size, colours } = state.told;
    return { columns: size?.[0], rows: size?.[1], colours }[name];
  }

  function collect() {
    const value = {};
    const number = (name) => Number(fields.elements[name]?.value) || 0;
    if (number("columns") && number("rows")) value.size = [number("columns"), number("rows")];
    if (state.told.turn) value.turn = state.told.turn;
    if (number("colours")) value.colours = number("colours");
    if (moved || state.told.corners) value.corners = corners;
    const leaves = [...root.querySelectorAll("[name=leaf]:checked")].map((leaf) => Number(leaf.value));
    const pages = leaves.length ? leaves : state.told.pages ?? [];
    if (pages.length) value.pages = pages;
    const count = Math.max(pages.length, root.querySelectorAll(".order li").length);
    const across = number("across");
    if (across && count > 1) value.layout = [Math.ceil(count / across), across];
    return value;
  }

  async function read(event) {
    event.preventDefault();
    await attempt(() => ask.act("outline", "read", { chart, version: state.version, told: collect() }));
    place.again();
  }

  // A turned page is another page: corners that were told of it as it lay are told no more.
  async function turn(event) {
    const by = Number(event.target.closest("[data-turn]")?.dataset.turn);
    if (!by) return;
    const { corners: _, ...told } = { ...collect(), turn: ((state.told.turn ?? 0) + by) % 360 };
    await attempt(() => ask.act("outline", "read", { chart, version: state.version, told }));
    place.again();
  }

  async function attempt(what) {
    try {
      await what();
    } catch (error) {
      tell(error.message, { urgent: true });
    }
  }

  async function reorder(event) {
    const button = event.target.closest("[data-move]");
    if (!button) return;
    const from = Number(button.dataset.move);
    const to = from + Number(button.dataset.by);
    const order = [...root.querySelectorAll(".order li")].map((_, i) => i);
    [order[from], order[to]] = [order[to], order[from]];
    await attempt(() => ask.act("outline", "order", { chart, version: state.version, order }));
    place.again();
  }

  // -------------------------------------------------------------------------- waiting

  // Look again while something is under way: the first picture, pages to pick from, the reading.
  function wait() {
    const picking = state.state === "waiting" && state.told.of;
    const going = state.state === "reading" || (state.state === "waiting" && !picking);
    busy.hidden = !going;
    if (going && state.done) busy.querySelector("progress").value = state.done;
    if (going || (picking && state.leaves < root.querySelectorAll("[name=leaf]").length)) timer = setTimeout(look, LOOK_MS);
  }

  async function look() {
    const before = state;
    const now = await (await ask.look("outline", "state", { chart })).json();
    if (gone) return; // another screen stands here by now
    state = now;
    if (state.state !== before.state && state.state !== "reading") {
      tell(say(state.state === "read" ? "outline.done" : "outline.refused"));
      return place.again();
    }
    if (state.told.of !== before.told.of) return place.again();
    if (state.leaves !== before.leaves) showLeaves();
    if (!viewer.source) await showPage();
    wait();
  }

  function keys(event) {
    if (event.key === "Enter" && !event.target.closest("button, input, a") && root.querySelector("#accept")) {
      event.preventDefault();
      accept();
    }
  }

  async function accept() {
    if (changed()) return fields.requestSubmit();
    place.go("check", chart);
  }

  fields.addEventListener("submit", read);
  fields.addEventListener("input", changed);
  root.addEventListener("click", reorder);
  root.addEventListener("click", turn);
  root.querySelector("#accept")?.addEventListener("click", accept);
  root.querySelector("#stop").addEventListener("click", () => attempt(() => ask.act("outline", "stop", { chart })));
  document.addEventListener("keydown", keys);
  return () => {
    gone = true;
    clearTimeout(timer);
    viewer.close();
    document.removeEventListener("keydown", keys);
    root.removeEventListener("click", reorder);
    root.removeEventListener("click", turn);
  };
}

// Every tenth line of a grid whose corners are told, by the projective map of its four corners.
function even(corners, columns, rows) {
  const map = projective(corners);
  const rim = [[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]].map(map);
  const stops = (count) => Array.from({ length: Math.max(0, Math.ceil(count / 10) - 1) }, (_, i) => ((i + 1) * 10) / count);
  return [
    rim,
    ...stops(columns).map((u) => [map([u, 0]), map([u, 1])]),
    ...stops(rows).map((v) => [map([0, v]), map([1, v])]),
  ];
}

// The map from the unit square to four corners, clockwise from the top left.
// P. Heckbert, Fundamentals of Texture Mapping and Image Warping (1989), 2.2.3.
function projective([[x0, y0], [x1, y1], [x2, y2], [x3, y3]]) {
  const [sx, sy] = [x0 - x1 + x2 - x3, y0 - y1 + y2 - y3];
  const [dx1, dx2, dy1, dy2] = [x1 - x2, x3 - x2, y1 - y2, y3 - y2];
  const whole = dx1 * dy2 - dx2 * dy1 || 1e-9;
  const g = (sx * dy2 - dx2 * sy) / whole;
  const h = (dx1 * sy - sx * dy1) / whole;
  return ([u, v]) => {
    const depth = g * u + h * v + 1;
    return [
      ((x1 - x0 + g * x1) * u + (x3 - x0 + h * x3) * v + x0) / depth,
      ((y1 - y0 + g * y1) * u + (y3 - y0 + h * y3) * v + y0) / depth,
    ];
  };
}
