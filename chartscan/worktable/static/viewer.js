// A large picture on a canvas: panned and zoomed by mouse, touch and keys, drawn from tiles.
//
// A source is { width, height, side, levels, tile(level, across, down) -> Promise<ImageBitmap> };
// one picture as a whole has levels: 1 and a side as large as itself. `over(pen, view)` draws on top.

const KEPT = 64; // tiles held: three screens of them
const AT_ONCE = 6; // fetched at a time
const LEAST = 0.5; // of the scale at which all is seen
const RIM = 60; // screen pixels beyond the picture's edge that may be seen
const MOST = 12; // screen pixels to a pixel of the picture

export class Viewer {
  constructor(canvas, { over = () => {}, press = () => false, moved = () => {} } = {}) {
    this.canvas = canvas;
    this.pen = canvas.getContext("2d", { alpha: false });
    this.over = over;
    this.press = press; // (x, y of the picture, event) -> whether it was meant for something
    this.moved = moved;
    this.source = null;
    this.tiles = new Map();
    this.wanted = [];
    this.fetching = 0;
    this.x = this.y = 0; // of the picture, in the middle of the canvas
    this.scale = 1; // CSS pixels to a pixel of the picture
    this.plain = true; // whether the picture is drawn at all
    this.touches = new Map();
    this.observer = new ResizeObserver(() => this.resize());
    this.observer.observe(canvas);
    this.scheme = matchMedia("(prefers-color-scheme: dark)");
    this.repaint = () => {
      this.ground = getComputedStyle(canvas).backgroundColor; // asked once: it costs as much as a frame
      this.draw();
    };
    this.repaint();
    this.scheme.addEventListener("change", this.repaint);
    for (const kind of ["pointerdown", "pointermove", "pointerup", "pointercancel"]) {
      canvas.addEventListener(kind, (event) => this[kind](event));
    }
    canvas.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
  }

  close() {
    this.observer.disconnect();
    this.scheme.removeEventListener("change", this.repaint);
    cancelAnimationFrame(this.due);
    this.source = null;
    for (const tile of this.tiles.values()) tile?.close?.();
    this.tiles.clear();
  }

  show(source) {
    for (const tile of this.tiles.values()) tile?.close?.();
    this.tiles.clear();
    this.wanted = [];
    this.source = source;
    this.resize();
    this.fit();
  }

  resize() {
    const density = Math.min(devicePixelRatio || 1, 2); // more costs frames and shows nothing
    const { clientWidth: width, clientHeight: height } = this.canvas;
    this.density = density;
    const wide = Math.round(width * density), high = Math.round(height * density);
    if (this.canvas.width === wide && this.canvas.height === high) return;
    const fitted = this.source && this.scale === this.whole;
    this.canvas.width = wide;
    this.canvas.height = high;
    if (fitted || !this.whole) this.fit();
    this.drawNow(); // a canvas of another size is black until it is drawn
  }

  get wholeScale() {
    const { clientWidth, clientHeight } = this.canvas;
    return Math.min(clientWidth / this.source.width, clientHeight / this.source.height) || 1;
  }

  fit() {
    if (!this.source) return;
    this.x = this.source.width / 2;
    this.y = this.source.height / 2;
    this.scale = this.whole = this.wholeScale;
    this.draw();
  }

  // Bring a place of the picture into the middle, at least so large.
  center(x, y, scale = this.scale) {
    this.x = x;
    this.y = y;
    this.scale = scale;
    this.clamp();
    this.draw();
  }

  // Bring a box of the picture into sight, moving as little as is needed.
  reveal(left, top, right, bottom) {
    const halfWide = this.canvas.clientWidth / 2 / this.scale;
    const halfHigh = this.canvas.clientHeight / 2 / this.scale;
    this.x = Math.min(Math.max(this.x, right - halfWide), left + halfWide);
    this.y = Math.min(Math.max(this.y, bottom - halfHigh), top + halfHigh);
    this.clamp();
    this.draw();
  }

  zoom(factor, px = this.canvas.clientWidth / 2, py = this.canvas.clientHeight / 2) {
    const [x, y] = this.toPicture(px, py);
    const scale = Math.min(Math.max(this.scale * factor, this.wholeScale * LEAST), MOST);
    this.x = x - (px - this.canvas.clientWidth / 2) / scale;
    this.y = y - (py - this.canvas.clientHeight / 2) / scale;
    this.scale = scale;
    this.clamp();
    this.draw();
  }

  pan(dx, dy) {
    this.x -= dx / this.scale;
    this.y -= dy / this.scale;
    this.clamp();
    this.draw();
  }

  // Keep the picture in sight: it fills the canvas where it is large enough, but for a rim.
  clamp() {
    const { clientWidth, clientHeight } = this.canvas;
    const within = (at, size, seen) => {
      const half = seen / 2 / this.scale - RIM / this.scale;
      return size < 2 * half ? size / 2 : Math.min(Math.max(at, half), size - half);
    };
    this.x = within(this.x, this.source.width, clientWidth);
    this.y = within(this.y, this.source.height, clientHeight);
  }

  toPicture(px, py) {
    return [
      this.x + (px - this.canvas.clientWidth / 2) / this.scale,
      this.y + (py - this.canvas.clientHeight / 2) / this.scale,
    ];
  }

  toScreen(x, y) {
    return [
      (x - this.x) * this.scale + this.canvas.clientWidth / 2,
      (y - this.y) * this.scale + this.canvas.clientHeight / 2,
    ];
  }

  // ------------------------------------------------------------------------ drawing

  draw() {
    if (!this.due) this.due = requestAnimationFrame(() => this.drawNow());
  }

  drawNow() {
    cancelAnimationFrame(this.due);
    this.due = 0;
    if (this.source) this.paint();
    else this.clear();
  }

  clear() {
    this.pen.setTransform(1, 0, 0, 1, 0, 0);
    this.pen.fillStyle = this.ground;
    this.pen.fillRect(0, 0, this.canvas.width, this.canvas.height);
  }

  paint() {
    const { pen, canvas, density } = this;
    this.clear();
    const scale = this.scale * density;
    pen.setTransform(scale, 0, 0, scale, canvas.width / 2 - this.x * scale, canvas.height / 2 - this.y * scale);
    this.wanted = [];
    if (this.plain) {
      const level = Math.min(this.source.levels - 1, Math.max(0, Math.floor(Math.log2(1 / scale) + 0.25)));
      pen.imageSmoothingEnabled = scale < 2;
      const whole = this.source.levels - 1;
      if (level === whole || !this.has(level)) this.layer(whole); // what is there until tiles come
      if (level < whole) this.layer(level);
    }
    this.over(pen, this);
    this.moved(this);
    this.fetch();
  }

  layer(level) {
    const step = this.source.side * 2 ** level; // pixels of the picture that a tile spans
    for (const [x, y] of this.seen(step)) {
      const tile = this.tile(level, x, y);
      if (tile) this.pen.drawImage(tile, x * step, y * step, tile.width * 2 ** level, tile.height * 2 ** level);
    }
  }

  // Whether every tile of a level that is in sight is here.
  has(level) {
    return this.seen(this.source.side * 2 ** level).every(([x, y]) => this.tiles.get(`${level}-${x}-${y}`));
  }

  // Which tiles of that many pixels are in sight, across and down.
  seen(step) {
    const [left, top] = this.toPicture(0, 0);
    const [right, bottom] = this.toPicture(this.canvas.clientWidth, this.canvas.clientHeight);
    const across = Math.ceil(this.source.width / step), down = Math.ceil(this.source.height / step);
    const tiles = [];
    for (let y = Math.max(0, Math.floor(top / step)); y < Math.min(down, Math.ceil(bottom / step)); y++) {
      for (let x = Math.max(0, Math.floor(left / step)); x < Math.min(across, Math.ceil(right / step)); x++) tiles.push([x, y]);
    }
    return tiles;
  }

  // A tile if it is here; else it is wanted.
  tile(level, x, y) {
    const name = `${level}-${x}-${y}`;
    const tile = this.tiles.get(name);
    if (tile) {
      this.tiles.delete(name); // the last used is the last to go
      this.tiles.set(name, tile);
    } else if (tile === undefined) this.wanted.push([name, level, x, y]);
    return tile;
  }

  fetch() {
    while (this.fetching < AT_ONCE && this.wanted.length) {
      const [name, level, x, y] = this.wanted.shift();
      if (this.tiles.has(name)) continue;
      this.tiles.set(name, null);
      this.fetching += 1;
      const source = this.source;
      source.tile(level, x, y).then((tile) => this.keep(source, name, tile), () => this.tiles.delete(name))
        .finally(() => { this.fetching -= 1; this.draw(); });
    }
  }

  keep(source, name, tile) {
    if (source !== this.source) return tile.close();
    this.tiles.delete(name);
    this.tiles.set(name, tile);
    for (const [old, gone] of this.tiles) {
      if (this.tiles.size <= KEPT) break;
      if (gone) { gone.close(); this.tiles.delete(old); }
    }
  }

  // ------------------------------------------------------------------------ pointers

  pointerdown(event) {
    this.canvas.setPointerCapture(event.pointerId);
    this.touches.set(event.pointerId, [event.offsetX, event.offsetY]);
    this.start = [event.offsetX, event.offsetY];
    this.still = this.touches.size === 1;
  }

  pointermove(event) {
    const before = this.touches.get(event.pointerId);
    if (!before || !this.source) return;
    const now = [event.offsetX, event.offsetY];
    if (this.touches.size === 1) {
      if (Math.hypot(now[0] - this.start[0], now[1] - this.start[1]) > 5) this.still = false;
      if (!this.still) this.pan(now[0] - before[0], now[1] - before[1]);
    } else {
      const [other] = [...this.touches].filter(([id]) => id !== event.pointerId).map(([, at]) => at);
      const far = (a) => Math.hypot(a[0] - other[0], a[1] - other[1]) || 1;
      this.zoom(far(now) / far(before), (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
    }
    if (!this.still) this.touches.set(event.pointerId, now);
  }

  pointerup(event) {
    this.touches.delete(event.pointerId);
    if (this.still && this.source) this.press(...this.toPicture(event.offsetX, event.offsetY), event);
    this.still = false;
  }

  pointercancel(event) {
    this.touches.delete(event.pointerId);
    this.still = false;
  }

  wheel(event) {
    if (!this.source) return;
    event.preventDefault();
    this.zoom(2 ** (-event.deltaY / (event.deltaMode ? 10 : 300)), event.offsetX, event.offsetY);
  }
}
