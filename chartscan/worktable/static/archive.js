// The archive: charts of a catalogue as pictures, narrowed by what is typed; one is laid on the shelf.

import * as ask from "./ask.js";
import { make, tell } from "./html.js";
import { fill } from "./pictures.js";
import { say } from "./words.js";

const PAUSE_MS = 250; // after the last key
const MOST_TOLD = 12; // wholes that seem to be one chart; a line or two

export function open(root, place) {
  const wanted = root.querySelector("#a-wanted");
  const cards = root.querySelector("#a-cards");
  let timer = 0;
  let turn = 0;

  async function list() {
    const mine = ++turn;
    const query = Object.fromEntries([...new FormData(wanted)].filter(([, value]) => value));
    const told = await (await ask.look("archive", "list", query)).json();
    if (mine !== turn) return;
    cards.replaceChildren(...told.rows.map(card));
    fill(cards);
    const shown = told.rows.length < told.all ? say("archive.some", { n: told.rows.length }) : "";
    root.querySelector("#a-count").textContent = [say("archive.found", { n: told.all }), shown].filter(Boolean).join(" ");
    const together = root.querySelector("#a-together");
    together.hidden = !told.together.length;
    const those = told.together.slice(0, MOST_TOLD).map((numbers) => say("archive.those", { numbers: numbers.join(", ") }));
    together.replaceChildren(say("archive.together", { n: told.together.length }), make("br"), [...those, ...(told.together.length > MOST_TOLD ? ["…"] : [])].join("; "));
  }

  function later() {
    clearTimeout(timer);
    timer = setTimeout(() => list().catch(refused), PAUSE_MS);
  }

  async function take(event) {
    const button = event.target.closest("[data-take]");
    if (!button) return;
    button.disabled = true;
    try {
      const laid = await ask.act("archive", "take", { number: Number(button.dataset.take) });
      place.go(laid.screen, laid.chart);
    } catch (error) {
      refused(error);
      button.disabled = false;
    }
  }

  const refused = (error) => tell(error.message, { urgent: true });
  const keep = (event) => event.preventDefault();
  wanted.addEventListener("input", later);
  wanted.addEventListener("submit", keep);
  cards.addEventListener("click", take);
  return (list().catch(refused), () => {
    turn += 1;
    clearTimeout(timer);
  });
}

function card(chart) {
  const size = say("archive.size", { columns: chart.columns, rows: chart.rows });
  const much = [say("archive.stitches", { n: chart.stitches }), say("archive.colours_n", { n: chart.colours })];
  if (chart.pages > 1) much.push(say("archive.pages", { n: chart.pages }));
  return make("li", { class: "card" },
    make("img", { alt: "", width: 240, height: 180, "data-look": "archive/small", "data-number": chart.number }),
    make("strong", {}, chart.name),
    make("p", { class: "small" }, [say("archive.number", { n: chart.number }), chart.folder].filter(Boolean).join(" · ")),
    make("p", { class: "small" }, `${size} · ${much.join(", ")}`),
    chart.questions ? make("p", { class: "open" }, say("archive.questions", { n: chart.questions })) : "",
    make("button", { type: "button", class: "quiet small", "data-take": chart.number, "aria-label": say("archive.take_one", { name: chart.name }) }, say("archive.take")));
}
