// The grid for keys and screen readers: a window of some cells around the one that is meant, since
// a table with every cell of a chart takes a screen reader many seconds.

import { make } from "./html.js";

const HALF = 7; // cells on each side of the one that is meant
const LEAPS = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0], PageUp: [-10, 0], PageDown: [10, 0] };

export class Grid {
  // `words(row, column)` says a cell; `moved(row, column)` is called when another one is meant.
  constructor(root, rows, columns, { words, moved }) {
    Object.assign(this, { root, rows, columns, words, moved, row: 0, column: 0 });
    root.addEventListener("keydown", (event) => this.key(event));
    this.fill();
  }

  go(row, column, { focus = false, quiet = false } = {}) {
    this.row = Math.min(Math.max(row, 0), this.rows - 1);
    this.column = Math.min(Math.max(column, 0), this.columns - 1);
    this.fill();
    if (focus) this.root.querySelector("[tabindex='0']").focus({ preventScroll: true });
    if (!quiet) this.moved(this.row, this.column);
  }

  fill() {
    const top = Math.max(0, this.row - HALF), left = Math.max(0, this.column - HALF);
    const bottom = Math.min(this.rows, this.row + HALF + 1), right = Math.min(this.columns, this.column + HALF + 1);
    const lines = [];
    for (let row = top; row < bottom; row++) {
      const line = make("div", { role: "row", "aria-rowindex": row + 1 });
      for (let column = left; column < right; column++) {
        const meant = row === this.row && column === this.column;
        line.append(make("span", { role: "gridcell", "aria-colindex": column + 1, tabindex: meant ? 0 : -1 }, this.words(row, column)));
      }
      lines.push(line);
    }
    const focused = this.root.contains(document.activeElement);
    this.root.replaceChildren(...lines);
    if (focused) this.root.querySelector("[tabindex='0']").focus({ preventScroll: true });
  }

  key(event) {
    const leap = LEAPS[event.key];
    let to = leap && [this.row + leap[0], this.column + leap[1]];
    if (event.key === "Home") to = [event.ctrlKey ? 0 : this.row, 0];
    if (event.key === "End") to = [event.ctrlKey ? this.rows - 1 : this.row, this.columns - 1];
    if (!to) return;
    event.preventDefault();
    this.go(...to, { focus: true });
  }
}
