// Putting fragments of the table's own templates into the page. They come escaped.

const policy = window.trustedTypes?.createPolicy("fragment", { createHTML: (html) => html })
  ?? { createHTML: (html) => html };

export function put(root, html) {
  root.innerHTML = policy.createHTML(html);
  dress(root);
}

// Colours stand in data-rgb: the policy of the page allows no style in the markup.
export function dress(root) {
  for (const swatch of root.querySelectorAll("[data-rgb]")) {
    swatch.style.backgroundColor = swatch.dataset.rgb;
  }
}

// An element: make("button", { class: "quiet", "aria-pressed": "true" }, "words", child, …).
export function make(name, attributes = {}, ...inside) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(key, value);
  }
  element.append(...inside);
  if (element.dataset.rgb) element.style.backgroundColor = element.dataset.rgb;
  return element;
}

// Say something to everybody, screen readers too; `urgent` stays until it is closed or replaced.
let timer;
export function tell(text, { urgent = false } = {}) {
  const told = document.getElementById("told");
  told.textContent = text;
  told.classList.toggle("urgent", urgent);
  told.classList.add("shown");
  clearTimeout(timer);
  if (!urgent) timer = setTimeout(() => told.classList.remove("shown"), 4000);
}
