// Papers: each is made when it is asked for, laid into a frame that runs nothing, printed from there.

import * as ask from "./ask.js";
import { tell } from "./html.js";
import { attempt, refresh } from "./refresh.js";
import { frame, save } from "./paper.js";
import { say } from "./words.js";

export function open(root, place) {
  const again = () => refresh(root, place, "#papers").then(see);
  const chosen = () => root.querySelector("[name=paper]:checked").value;

  // Until a paper is there, that before it stands in the frame and mustn't be printed in its place.
  async function see() {
    root.querySelector("#p-print").disabled = true;
    const there = await attempt(() => frame(root.querySelector("#p-frame"), "papers", { chart: place.chart, paper: chosen() }), place.again);
    if (there) root.querySelector("#p-print").disabled = false;
  }

  async function keep(event) {
    event.preventDefault();
    const name = root.querySelector("#p-name").value;
    const version = Number(root.querySelector("#papers").dataset.version);
    const done = await attempt(() => ask.act("papers", "plan", { chart: place.chart, version, name }), place.again);
    if (!done) return;
    await again();
    tell(say(done.missing ? "papers.kept_lacking" : "papers.kept", { name, n: done.missing }));
  }

  async function pressed(event) {
    const button = event.target.closest("button");
    if (!button) return;
    if (button.id === "p-print") root.querySelector("#p-frame").contentWindow.print();
    const paper = button.id === "p-save" ? chosen() : button.dataset.save;
    if (paper) await attempt(() => save("papers", { chart: place.chart, paper }), place.again);
  }

  const changed = (event) => event.target.name === "paper" && see();
  const heard = [["change", changed], ["click", pressed], ["submit", keep]];
  for (const [name, listener] of heard) root.addEventListener(name, listener);
  see();
  return () => {
    for (const [name, listener] of heard) root.removeEventListener(name, listener);
  };
}
