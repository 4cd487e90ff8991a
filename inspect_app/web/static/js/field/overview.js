// The walk at a glance: which stretches there are, how far each is, and where to go on.

import { button, el, field, focusHeading, show } from "./dom.js";
import { later } from "./later.js";
import { progressOf, showProgress } from "./progress.js";
import { STATES, VANTAGES } from "./words.js";

export function overviewScreen(walk, { onStretch, onFind, onStop, onStore, onClose, onStart }) {
  const groups = new Map();
  showProgress(walk);
  for (const { list, stop } of walk.stops()) {
    for (const state of walk.states(list, stop)) {
      const item = stretch(walk, list, stop, state, onStretch);
      if (item) groups.set(stop.vantage, [...(groups.get(stop.vantage) || []), item]);
    }
  }
  show(
    el("h1", {}, walk.title),
    progressLine(walk),
    orderChoice(walk),
    [...groups].map(([vantage, items]) =>
      el("section", { class: "stack" }, el("h2", {}, VANTAGES[vantage]), el("ul", { class: "plain stack" }, items)),
    ),
    finder(walk, onFind),
    callerChoice(walk),
    el(
      "div",
      { class: "row" },
      button("Stop a set", onStop, { class: "target stop wide" }),
      button("Everybody is down: close the walk", onClose, { class: "target wide" }),
      button("What is on this phone", onStore, { class: "target wide" }),
      button("Other walks", onStart, { class: "target wide" }),
    ),
  );
  focusHeading();
}

function stretch(walk, list, stop, state, onStretch) {
  const { done, all, second } = progressOf(walk, list, stop, state);
  if (!all) return null; // no such part in the scope of this walk
  const text = `${stop.title}, ${STATES[state]}`;
  const sub = walk.checklists.length > 1 ? `${list.title}. ` : "";
  return el(
    "li",
    {},
    el(
      "button",
      { type: "button", class: "target wide stretch", "data-stop": stop.id, "data-state": state, onclick: () => onStretch(list, stop, state) },
      el("strong", {}, text),
      el("span", { class: "quiet" }, `${sub}${done} of ${all} places recorded${second ? `, ${second} for a second look` : ""}`),
    ),
  );
}

function progressLine(walk) {
  return el("p", { class: "quiet" }, "Tap a stretch to walk it. What is not looked at stays so in the report.");
}

function orderChoice(walk) {
  const choose = (order) => (event) => {
    walk.keepPlace({ order });
    for (const other of event.target.parentNode.children) other.setAttribute("aria-pressed", String(other === event.target));
  };
  const one = (order, text) =>
    button(text, choose(order), { class: "target", "aria-pressed": String(walk.place.order === order), "data-order": order });
  return el(
    "div",
    { class: "row", role: "group", "aria-label": "Order of the walk" },
    one("well", "Along the wells"),
    one("set", "Set by set"),
  );
}

// Caller and scribe: the one aloft carries no phone and calls by radio, the one here taps; both names are on the entries.
function callerChoice(walk) {
  const others = (walk.pack.people || []).filter((person) => person.id !== walk.pack.me.id);
  if (!others.length) return null;
  const options = [el("option", { value: "" }, "nobody: I look and tap myself"), ...others.map((person) => el("option", { value: person.id, selected: person.id === walk.place.caller }, person.name))];
  const choose = (event) => walk.keepPlace({ caller: event.target.value || null });
  return field("Who calls by radio while I tap", el("select", { name: "caller", onchange: choose }, options));
}

function finder(walk, onFind) {
  const input = el("input", { name: "tag", autocomplete: "off", autocapitalize: "characters", inputmode: "text" });
  const found = el("p", { class: "quiet", role: "status" });
  const look = (event) => {
    event.preventDefault();
    const wanted = input.value.trim().toUpperCase().replace(/\s+/g, " ");
    const match = Object.entries(walk.pack.parts).find(([, part]) => part.tag.toUpperCase() === wanted);
    if (match) onFind(match[0]);
    else found.textContent = `No part has the number ${input.value}. Numbers look like LB 12-3 (loft block, set 12, line 3).`;
  };
  return el(
    "form",
    { class: "stack", onsubmit: look },
    el("h2", {}, "Find a part"),
    field("Number of the part", input, "As on its label, for example LB 12-3"),
    el("div", { class: "row" }, el("button", { type: "submit", class: "target" }, "Go there"), scanTarget(walk, onFind, found)),
    found,
  );
}

// In its place from the start, so that nothing moves when the browser's answer comes.
function scanTarget(walk, onFind, told) {
  return button("Scan its label", async () => {
    const scan = await later.scan().catch(() => null);
    if (await scan?.canScan()) scan.scanPane(walk, onFind);
    else told.textContent = scan?.CANNOT_SCAN ?? "Scanning is not on this phone yet: type the number.";
  });
}
