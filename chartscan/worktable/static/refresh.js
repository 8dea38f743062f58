// Showing a part of a screen anew after an act: what had the focus has it again, nothing jumps.

import * as ask from "./ask.js";
import { put, tell } from "./html.js";

// Fetch the screen again and put its `selector` in the place of the old one, unless it was left meanwhile.
export async function refresh(root, place, selector) {
  const where = location.hash;
  const html = await ask.screen(place.screen, place.chart ? { chart: place.chart } : {});
  const fresh = document.createElement("div");
  put(fresh, html);
  const active = document.activeElement?.id;
  if (location.hash !== where) return;
  root.querySelector(selector)?.replaceWith(fresh.querySelector(selector));
  if (active) document.getElementById(active)?.focus({ preventScroll: true });
}

// Do `act`; a refusal is told, and a stale page shows how things stand. Its answer, or null.
export async function attempt(act, again) {
  try {
    return await act();
  } catch (error) {
    if (!error.status) throw error;
    tell(error.message, { urgent: error.status !== 409 });
    if (error.status === 409) await again();
    return null;
  }
}

// "#rrggbb" as three numbers.
export function rgb(hex) {
  return [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16));
}

// Three numbers as "#rrggbb".
export function hex(three) {
  return `#${three.map((value) => value.toString(16).padStart(2, "0")).join("")}`;
}

// Calls `then` with the latest arguments once nothing was asked for `wait` ms; `now()` doesn't wait.
export function settled(then, wait) {
  let timer;
  let waiting = null;
  const soon = (...latest) => {
    clearTimeout(timer);
    waiting = latest;
    timer = setTimeout(soon.now, wait);
  };
  soon.now = () => {
    clearTimeout(timer);
    const latest = waiting;
    waiting = null;
    return latest && then(...latest);
  };
  return soon;
}
