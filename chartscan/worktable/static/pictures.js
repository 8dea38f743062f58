// Pictures: fetched with the key, since an <img> of its own can't show it.

import { look } from "./ask.js";

// Fill every <img data-look="screen/look" data-…> in `root`; the data are the query.
export function fill(root) {
  for (const image of root.querySelectorAll("img[data-look]")) fillOne(image);
}

async function fillOne(image) {
  const { look: which, ...query } = image.dataset;
  const [screen, name] = which.split("/");
  try {
    const blob = await (await look(screen, name, query)).blob();
    const address = URL.createObjectURL(blob);
    image.addEventListener("load", () => URL.revokeObjectURL(address), { once: true });
    image.src = address;
  } catch {
    image.classList.add("none"); // a chart file has no picture
  }
}

// A picture ready to be drawn on a canvas.
export async function bitmap(screen, name, query) {
  return createImageBitmap(await (await look(screen, name, query)).blob());
}
