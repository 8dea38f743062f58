// The outline: the page with the grid over it; corners and size are told here.

import * as ask from "./ask.js";
import { make, tell } from "./html.js";
import { bitmap, fill } from "./pictures.js";
import { band, even } from "./outline_grid.js";
import { Seams } from "./outline_seams.js";
import { Viewer } from "./viewer.js";
import { say } from "./words.js";

const LOOK_MS = 400; // between two looks at how far the reading is
const FIRST_MS = 100; // ... while there is nothing to be seen yet
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
  // What is told of each page's grid: { size, corners, turn }; of one page alone by the chart itself.
  const several = state.pages.length > 1;
  const own = several ? state.pages.map((_, place) => ({ ...state.told.each?.[place] })) : [grid(state.told)];
  const seams = several ? new Seams(state) : null;
  let here = Math.max(0, state.pages.findIndex((page) => page.refused)); // the page that is shown
  let corners = null; // of that page, in its pixels

  const viewer = new Viewer(root.querySelector("canvas"), { over, moved: setHandles });
  const handles = NAMES.map((name, number) => handle(name, number));
  fill(root);
  chooseSheet();
  seams?.put(root.querySelector("#seams"));
  await showPage();
  fillFields();
  wait();

  // ------------------------------------------------------------------------ the page

  async function showPage() {
    const page = state.pages[here];
    if (page && state.state !== "reading") {
      const of = `page-${here + 1}`;
      viewer.show({ ...page, tile: (level, across, down) => bitmap("outline", "tile", { chart, of, level, across, down }) });
      corners = own[here].corners ?? page.corners ?? inset(page);
      root.querySelector(".handles").append(...handles);
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

  // Of several pages one is shown, and told of, at a time; that which was refused first.
  function chooseSheet() {
    const sheets = [...root.querySelectorAll("[name=sheet]")];
    if (!several || !sheets.length) return;
    sheets[here].checked = true;
    root.querySelector("#sheets").addEventListener("change", (event) => {
      here = Number(event.target.value);
      fillSize();
      showPage();
    });
  }

  function inset({ width, height }) {
    const [x, y] = [width * INSET, height * INSET];
    return [[x, y], [width - x, y], [width - x, height - y], [x, height - y]];
  }

  // The grid as it was read, or as the corners and the size that are told would have it.
  function over(pen, view) {
    if (!corners) return;
    const page = state.pages[here];
    if (seams && page.cells) {
      pen.fillStyle = "rgb(29 79 118 / 0.35)";
      for (const rim of seams.bands(here)) band(pen, corners, page.cells, rim);
    }
    pen.lineWidth = 1.5 / view.scale;
    pen.strokeStyle = "#c2185b";
    const lines = own[here].moved || !page.lines ? even(corners, ...told("columns", "rows")) : page.lines;
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
    Object.assign(own[here], { corners, moved: true });
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
    const found = root.querySelector("#found");
    if (found) {
      found.textContent = state.pages.length
        ? state.pages.map((one) => say("outline.found", { columns: one.cells[0], rows: one.cells[1] })).join(" + ")
        : say("outline.no_picture");
    }
    if (state.told.colours) fields.elements.colours.value = state.told.colours;
    fillSize();
  }

  // Columns and rows of the page that is shown: those told, and behind them those found.
  function fillSize() {
    const { columns, rows } = fields.elements;
    const [wide, high] = state.pages[here]?.cells ?? ["", ""];
    [columns.placeholder, rows.placeholder] = [wide, high];
    [columns.value, rows.value] = own[here].size ?? ["", ""];
    changed();
  }

  function takeSize() {
    const { columns, rows } = fields.elements;
    const size = [Number(columns.value) || 0, Number(rows.value) || 0];
    own[here].size = size.every(Boolean) ? size : undefined;
  }

  // Size and corners of the page that is shown are told no more: they are found again.
  function untell() {
    Object.assign(own[here], { size: undefined, corners: undefined, moved: false });
    corners = state.pages[here].corners ?? inset(state.pages[here]);
    fillSize();
    viewer.draw();
  }

  // What is told differs from what was read: then to read again is the next step, else to accept.
  function changed() {
    const accept = root.querySelector("#accept");
    const read = root.querySelector("#read");
    const was = several ? state.told.each ?? [] : [state.told];
    const untold = root.querySelector("#untell");
    if (untold) untold.hidden = !own[here].size && !own[here].corners;
    const differs = seams?.changed
      || own.some((one, place) => one.moved || (was[place]?.corners && !one.corners) || isOther(one.size, place, was[place]?.size))
      || ["colours", "across"].some((name) => {
        const field = fields.elements[name];
        return field && field.value !== field.defaultValue && field.value !== String(state.told[name] ?? "");
      });
    if (accept) {
      accept.classList.toggle("main", !differs);
      read.classList.toggle("main", differs);
    }
    return differs;
  }

  // Whether a size that is told differs from what was told before, and from what was found.
  function isOther(size, place, was) {
    if (!size) return Boolean(was);
    return String(size) !== String(was) && String(size) !== String(state.pages[place]?.cells);
  }

  function collect() {
    const value = several ? {} : grid(own[0]);
    const number = (name) => Number(fields.elements[name]?.value) || 0;
    if (number("colours")) value.colours = number("colours");
    const leaves = [...root.querySelectorAll("[name=leaf]:checked")].map((leaf) => Number(leaf.value));
    const pages = leaves.length ? leaves : state.told.pages ?? [];
    if (pages.length) value.pages = pages;
    if (several && String(pages) === String(state.told.pages ?? [])) {
      value.each = own.map(grid);
      if ((number("across") || seams.across) === seams.across) value.repeats = seams.told;
    }
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
    Object.assign(own[here], { corners: undefined, moved: false, turn: ((own[here].turn ?? 0) + by) % 360 });
    const told = collect();
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
    if (going || (picking && state.leaves < root.querySelectorAll("[name=leaf]").length)) timer = setTimeout(look, state.seen ? LOOK_MS : FIRST_MS);
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
  fields.addEventListener("input", () => {
    takeSize();
    changed();
    viewer.draw();
  });
  root.querySelector("#untell")?.addEventListener("click", untell);
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

// What is told of one page's grid, as it is sent.
function grid({ size, corners, turn }) {
  return { ...(size && { size }), ...(corners && { corners }), ...(turn && { turn }) };
}
