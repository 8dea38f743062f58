// Where a grid lies between four corners, clockwise from the top left, in pixels of its page.

// Every tenth line of a grid whose corners are told, by the projective map of its four corners.
export function even(corners, columns, rows) {
  const map = projective(corners);
  const rim = [[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]].map(map);
  const stops = (count) => Array.from({ length: Math.max(0, Math.ceil(count / 10) - 1) }, (_, i) => ((i + 1) * 10) / count);
  return [
    rim,
    ...stops(columns).map((u) => [map([u, 0]), map([u, 1])]),
    ...stops(rows).map((v) => [map([0, v]), map([1, v])]),
  ];
}

// Fill the first or last cells of a page that a neighbour has too: { side, count }.
export function band(pen, corners, [columns, rows], { side, count }) {
  const map = projective(corners);
  const part = count / (side === "left" || side === "right" ? columns : rows);
  const [left, top, right, bottom] = {
    left: [0, 0, part, 1],
    right: [1 - part, 0, 1, 1],
    above: [0, 0, 1, part],
    below: [0, 1 - part, 1, 1],
  }[side];
  pen.beginPath();
  for (const point of [[left, top], [right, top], [right, bottom], [left, bottom]]) pen.lineTo(...map(point));
  pen.fill();
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
