// Small helpers to build and replace elements; text is only ever set as text.

export function el(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) node.setAttribute(name, value);
  }
  node.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

export function show(...children) {
  const root = document.getElementById("field");
  root.replaceChildren(...children.flat(2).filter(Boolean));
  window.scrollTo(0, 0);
}

export function say(text) {
  // Read out by screen readers without moving the focus.
  document.getElementById("said").textContent = text;
}

export function button(text, action, attributes = {}) {
  return el("button", { type: "button", class: "target", onclick: action, ...attributes }, text);
}

export function field(label, input, help = "") {
  input.id = input.id || `f-${Math.random().toString(36).slice(2, 9)}`;
  const hint = help ? el("p", { class: "quiet", id: `${input.id}-help` }, help) : null;
  if (hint) input.setAttribute("aria-describedby", hint.id);
  return el("div", { class: "stack field" }, el("label", { for: input.id }, label), input, hint);
}

export function focusHeading() {
  const heading = document.querySelector("#field h1");
  if (!heading) return;
  heading.tabIndex = -1;
  heading.focus({ preventScroll: true });
}
