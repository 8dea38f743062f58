// Asking the table: every request shows this tab's key, which is kept by the tab alone.

const KEY = "chartscan.key";
let lost = () => {};

// What an answer that isn't good says, with its status: 409 where the page was stale.
export class Refused extends Error {
  constructor(status, told) {
    super(told.error ?? String(status));
    this.status = status;
    this.told = told;
  }
}

// Calls `then` once the table doesn't answer any more.
export function whenLost(then) {
  lost = then;
}

// Trade the key in the address, if there is one, for one of this tab; false where there is none.
export async function enter() {
  const given = /^#key=([\w-]+)$/.exec(location.hash);
  if (given) {
    history.replaceState(null, "", location.pathname);
    const answer = await send("/key", "POST", JSON.stringify({ key: given[1] }), "application/json");
    sessionStorage.setItem(KEY, (await answer.json()).key);
  }
  return sessionStorage.getItem(KEY) !== null;
}

async function send(path, method, body, type) {
  const headers = { Authorization: `Bearer ${sessionStorage.getItem(KEY) ?? ""}` };
  if (type) headers["Content-Type"] = type;
  let answer;
  try {
    answer = await fetch(path, { method, body, headers, cache: "no-store" });
  } catch (error) {
    lost();
    throw error;
  }
  if (answer.ok) return answer;
  const told = await answer.json().catch(() => ({}));
  throw new Refused(answer.status, told);
}

function address(path, query) {
  const text = new URLSearchParams(query).toString();
  return text ? `${path}?${text}` : path;
}

// The HTML of a screen.
export async function screen(name, query) {
  return (await send(address(`/screen/${name}`, query), "GET")).text();
}

// Do an act of a screen; its JSON.
export async function act(name, what, told) {
  return (await send(`/act/${name}/${what}`, "POST", JSON.stringify(told), "application/json")).json();
}

// Look at something of a screen: the response, to take JSON, bytes or a picture from.
export async function look(name, what, query) {
  return send(address(`/look/${name}/${what}`, query), "GET");
}

// Send the bytes of a file to an act of a screen; its JSON.
export async function drop(name, what, query, file) {
  const path = address(`/drop/${name}/${what}`, query);
  return (await send(path, "POST", file, "application/octet-stream")).json();
}

// The words of the page.
export async function words() {
  return (await send("/words", "GET")).json();
}

// End the table.
export async function end() {
  return send("/end", "POST", "{}", "application/json");
}
