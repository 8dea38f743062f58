// Clicks on a screen that is there but doesn't listen yet: they are kept, and done once it stands.

export class Early {
  #root;
  #kept = null; // events in their order, while a screen is getting up

  constructor(root) {
    this.#root = root;
    for (const kind of ["click", "submit"]) root.addEventListener(kind, (event) => this.#keep(event), { capture: true });
  }

  // A screen is about to be put up: what was kept for the one before is of no use any more.
  begin() {
    this.#kept = [];
  }

  // It stands, or never will: what was kept is done, on what is still there of it.
  end() {
    const kept = this.#kept ?? [];
    this.#kept = null;
    for (const { target, again } of kept) if (this.#root.contains(target)) target.dispatchEvent(again);
  }

  #keep(event) {
    if (!this.#kept || event.target.closest("a[href]")) return; // a link needs nobody who listens
    event.preventDefault(); // a form would send itself, and the page would be gone
    event.stopPropagation();
    this.#kept.push({ target: event.target, again: new event.constructor(event.type, event) });
  }
}
