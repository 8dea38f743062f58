// The shelf: charts as pictures; files are laid on it.

import * as ask from "./ask.js";
import { tell } from "./html.js";
import { fill } from "./pictures.js";
import { say } from "./words.js";

const MOST_BYTES = 80_000_000; // the table refuses more before it reads it
const LOOK_MS = 400; // between two looks at what is being read

export function open(root, place) {
  fill(root);
  const files = root.querySelector("#files");
  files.addEventListener("change", () => take([...files.files], place));
  root.querySelector("#example")?.addEventListener("click", async () => {
    const laid = await ask.act("shelf", "example", {});
    place.go(laid.screen, laid.chart);
  });
  root.addEventListener("click", remove);
  let timer = root.querySelector("progress") ? setTimeout(look, LOOK_MS) : 0;
  let gone = false;

  async function look() {
    const going = await (await ask.look("shelf", "progress", {})).json();
    if (gone) return;
    const seen = [...root.querySelectorAll("progress")];
    if (going.filter((one) => one.done !== null).length < seen.length) return place.again();
    for (const one of going) {
      const bar = root.querySelector(`[data-chart="${one.chart}"] progress`);
      if (bar && one.state === "reading" && one.done) bar.value = one.done;
    }
    timer = setTimeout(look, LOOK_MS);
  }

  async function remove(event) {
    const button = event.target.closest("[data-remove]");
    if (!button || !(await answer(root.querySelector("#sure")))) return;
    try {
      await ask.act("shelf", "remove", { chart: button.dataset.remove, version: Number(button.dataset.version) });
    } catch (error) {
      tell(error.message, { urgent: true });
    }
    place.again();
  }

  return () => {
    gone = true;
    clearTimeout(timer);
    root.removeEventListener("click", remove);
  };
}

// Take dropped or chosen files: one chart each, or all together the pages of one.
export async function take(files, place) {
  if (!files.length) return;
  if (files.some((file) => file.size > MOST_BYTES)) return tell(say("table.large"), { urgent: true });
  try {
    const together = files.length > 1 ? await answer(document.getElementById("many")) : "each";
    if (!together) return;
    tell(say("shelf.taking", { n: files.length }));
    let laid;
    if (together === "one") laid = await takePages(files);
    else for (const file of files) laid = await ask.drop("shelf", "lay", { name: file.name }, file);
    if (files.length === 1 || together === "one") place.go(laid.screen, laid.chart);
    else place.go("shelf");
  } catch (error) {
    tell(error.message, { urgent: true });
  }
}

async function takePages(files) {
  const order = new Intl.Collator(undefined, { numeric: true });
  const sorted = files.toSorted((a, b) => order.compare(a.name, b.name));
  const laid = await ask.drop("shelf", "lay", { name: sorted[0].name, more: 1 }, sorted[0]);
  for (const [number, file] of sorted.slice(1).entries()) {
    const more = number + 2 < sorted.length ? { more: 1 } : {};
    await ask.drop("shelf", "page", { chart: laid.chart, name: file.name, ...more }, file);
  }
  return laid;
}

// The value of the button by which a dialog is closed.
function answer(dialog) {
  return new Promise((done) => {
    const close = (event) => {
      const button = event.target.closest("button");
      if (event.type === "click" && !button) return;
      dialog.removeEventListener("click", close);
      dialog.removeEventListener("cancel", close);
      if (dialog.open) dialog.close();
      done(event.type === "cancel" ? "" : button.value);
    };
    dialog.addEventListener("click", close);
    dialog.addEventListener("cancel", close);
    dialog.showModal();
  });
}
