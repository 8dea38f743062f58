// A paper in a frame, and a paper as a file.

import * as ask from "./ask.js";

// Lay a paper of `screen` and show it in `element`; whether it is still the last that was asked for.
export async function frame(element, screen, told) {
  const mine = element.dataset.turn = String(Number(element.dataset.turn ?? 0) + 1);
  const { path, name } = await ask.act(screen, "lay", told);
  if (element.dataset.turn !== mine) return false; // a slow paper never takes the place of a later one
  element.dataset.name = name;
  await new Promise((done) => {
    element.addEventListener("load", done, { once: true });
    element.src = path;
  });
  element.hidden = false;
  return element.dataset.turn === mine;
}

// Save a paper of `screen` under the name that it brings along.
export async function save(screen, told) {
  const answer = await ask.look(screen, "save", told);
  const link = document.createElement("a");
  link.href = URL.createObjectURL(await answer.blob());
  link.download = named(answer) ?? "paper";
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

function named(answer) {
  const told = /filename\*=UTF-8''([^;]+)/.exec(answer.headers.get("Content-Disposition") ?? "");
  return told && decodeURIComponent(told[1]);
}
