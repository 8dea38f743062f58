// Where pages of one chart meet: how many columns or rows two of them have in common.

import { make } from "./html.js";
import { say } from "./words.js";

export class Seams {
  constructor(state) {
    const { pages, told } = state;
    const [down, across] = told.layout ?? [1, pages.length];
    this.across = across;
    const found = (before, after, axis) =>
      state.state === "read" ? pages[before].origin[axis] + pages[before].cells[1 - axis] - pages[after].origin[axis] : null;
    this.all = [
      ...range(across - 1).map((at) => ({ what: "columns", at, before: at, after: at + 1, found: found(at, at + 1, 1) })),
      ...range(down - 1).map((at) => ({ what: "rows", at, before: at * across, after: (at + 1) * across,
        found: found(at * across, (at + 1) * across, 0) })),
    ];
    this.all.forEach((seam, place) => (seam.was = seam.told = told.repeats?.[place] ?? null));
  }

  // A field a seam, for as many as repeat; empty: as many as are found.
  put(root) {
    root.append(...this.all.map((seam) => {
      const field = make("input", { type: "number", min: 0, max: 60, inputmode: "numeric", placeholder: seam.found ?? "" });
      if (seam.told !== null) field.value = seam.told;
      field.addEventListener("input", () => (seam.told = field.value === "" ? null : Number(field.value)));
      const words = say(`outline.common_${seam.what}`, { before: seam.before + 1, after: seam.after + 1 });
      return make("label", { class: "seam" }, words, field);
    }));
  }

  get told() {
    return this.all.map((seam) => seam.told);
  }

  get changed() {
    return this.all.some((seam) => seam.told !== seam.was && (seam.told ?? seam.found) !== (seam.was ?? seam.found));
  }

  // What of a page its neighbours have too: { side, count }.
  bands(place) {
    const [column, row] = [place % this.across, Math.floor(place / this.across)];
    return this.all.flatMap(({ what, at, told, found }) => {
      const [mine, sides] = what === "columns" ? [column, ["right", "left"]] : [row, ["below", "above"]];
      const count = told ?? found ?? 0;
      return count && (mine === at || mine === at + 1) ? [{ side: sides[mine - at], count }] : [];
    });
  }
}

function range(count) {
  return Array.from({ length: Math.max(0, count) }, (_, at) => at);
}
