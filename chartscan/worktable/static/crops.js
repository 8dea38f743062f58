// Small pictures of cells, cut out of the tiles of the chart laid flat.

import { bitmap } from "./pictures.js";

const KEPT = 48; // tiles held

export class Crops {
  constructor(chart, flat) {
    this.chart = chart;
    this.flat = flat; // { width, height, side, levels, cell, margin }; null where there is no picture
    this.tiles = new Map();
  }

  close() {
    for (const tile of this.tiles.values()) tile.then((one) => one.close(), () => {});
    this.tiles.clear();
  }

  tile(level, across, down) {
    const name = `${level}-${across}-${down}`;
    let tile = this.tiles.get(name);
    this.tiles.delete(name);
    tile ??= bitmap("check", "tile", { chart: this.chart, of: "flat", level, across, down });
    this.tiles.set(name, tile);
    if (this.tiles.size > KEPT) {
      const [[old, gone]] = this.tiles;
      this.tiles.delete(old);
      gone.then((one) => one.close(), () => {});
    }
    return tile;
  }

  // Draw a cell and `around` cells on every side of it on a canvas; ring it where asked.
  async draw(canvas, row, column, around = 0.15, ring = false) {
    const pen = canvas.getContext("2d");
    if (!this.flat) return;
    const { cell, margin, side, levels, width, height } = this.flat;
    const span = (1 + 2 * around) * cell;
    const left = (column + margin - around) * cell, top = (row + margin - around) * cell;
    const level = Math.min(levels - 1, Math.max(0, Math.floor(Math.log2(span / canvas.width))));
    const step = side * 2 ** level;
    const scale = canvas.width / span;
    const jobs = [];
    for (let y = Math.max(0, Math.floor(top / step)); y * step < Math.min(height, top + span); y++) {
      for (let x = Math.max(0, Math.floor(left / step)); x * step < Math.min(width, left + span); x++) {
        jobs.push(this.tile(level, x, y).then((tile) => [tile, x, y]));
      }
    }
    const tiles = await Promise.all(jobs);
    pen.imageSmoothingEnabled = scale < 2;
    for (const [tile, x, y] of tiles) {
      pen.drawImage(tile, (x * step - left) * scale, (y * step - top) * scale,
        tile.width * 2 ** level * scale, tile.height * 2 ** level * scale);
    }
    if (ring) {
      const at = around * cell * scale, size = cell * scale;
      for (const [colour, line] of [["#fff", 5], ["#c2185b", 2.5]]) {
        pen.strokeStyle = colour;
        pen.lineWidth = line;
        pen.strokeRect(at - 2, at - 2, size + 4, size + 4);
      }
    }
  }
}
