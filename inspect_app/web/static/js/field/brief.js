// Before anyone climbs: scope, checklists, people and cautions; saving it is the walk's opening entry.

import { button, el, field, focusHeading, say, show } from "./dom.js";
import { uuid7 } from "./ids.js";
import { BEFORE_CLIMBING } from "./words.js";

export function briefScreen(walk, { onBegin, onBack, onNotSaved }) {
  const form = el("form", { class: "stack brief", novalidate: true });
  const problems = el("div", { class: "caution", role: "alert", hidden: true });
  const input = (name, extra = {}) => el("input", { name, autocomplete: "off", maxlength: 200, ...extra });
  form.append(
    el("h1", {}, "A new walk"),
    problems,
    ...keepOff(walk),
    ...limited(walk),
    checklistChoice(walk),
    setChoice(walk),
    el("h2", {}, "People"),
    field("Who goes aloft (one name per line)", el("textarea", { name: "aloft", rows: 2 }, walk.pack.me.name)),
    field("Who keeps the deck clear", input("deck")),
    field("Radio channel or other contact", input("radio")),
    field("Who to call for rescue, and how", input("rescue")),
    field("Expected down at", input("down_at", { type: "time" })),
    hangs(walk),
    el("h2", {}, "Before climbing"),
    el("ul", { class: "cautions" }, BEFORE_CLIMBING.map((text) => el("li", {}, text))),
    el("label", { class: "check" }, el("input", { type: "checkbox", name: "cautions" }), "Read out to everybody going up"),
    el(
      "div",
      { class: "row" },
      el("button", { type: "submit", class: "target main wide" }, "Begin the walk"),
      button("Back", onBack, { class: "target wide" }),
    ),
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const missing = missingIn(form);
    problems.hidden = !missing.length;
    problems.replaceChildren(...missing.map((text) => el("p", {}, text)));
    if (missing.length) problems.scrollIntoView({ block: "center" });
    else begin(walk, form, onBegin).catch(onNotSaved);
  });
  show(form);
  focusHeading();
}

// What binds an area as a whole, before anybody goes there.
function limited(walk) {
  return walk.pack.areas.flatMap(({ id, name }) =>
    (walk.pack.places?.limits[id] ?? []).map((text) => el("p", { class: "caution" }, `Restricted, ${name}: ${text}`)),
  );
}

function keepOff(walk) {
  const off = walk.pack.line_sets.filter((set) => set.keep_off).map((set) => set.number);
  if (!off.length) return [];
  const text = `Keep everyone off the deck below, the bridge and the grid at set ${off.join(", ")}: something happened there, and nobody has said yet who may approach and how. Leave these sets out of this walk.`;
  return [el("p", { class: "caution" }, text)];
}

function checklistChoice(walk) {
  return el(
    "fieldset",
    { class: "stack" },
    el("legend", {}, "Checklists"),
    walk.pack.checklists.map((list) => {
      const notice = el("p", { class: "note", hidden: true }, list.notice);
      const toggle = (event) => {
        notice.hidden = !event.target.checked;
      };
      const reviewed = list.reviewed?.by ? `Reviewed by ${list.reviewed.by}, ${list.reviewed.on}.` : "Not yet reviewed by a qualified person.";
      return el(
        "div",
        { class: "choice" },
        el("label", { class: "check" }, el("input", { type: "checkbox", name: "checklist", value: list.id, onchange: toggle }), list.title),
        el("p", { class: "quiet" }, `${list.when}. Signed by somebody ${list.competence}. ${reviewed}`),
        notice,
      );
    }),
  );
}

function setChoice(walk) {
  const sets = walk.pack.line_sets;
  const numbers = [el("option", { value: "" }, "all"), ...sets.map((set) => el("option", { value: set.id }, set.number))];
  const copy = () => numbers.map((option) => option.cloneNode(true));
  return el(
    "fieldset",
    { class: "stack" },
    el("legend", {}, "Scope"),
    el("p", { class: "quiet" }, `The whole house (${sets.length} line sets) unless you narrow it to a run of sets.`),
    el(
      "div",
      { class: "row" },
      field("From set", el("select", { name: "from" }, copy())),
      field("to set", el("select", { name: "to" }, copy())),
    ),
  );
}

function hangs(walk) {
  const rows = walk.pack.line_sets.map((set) =>
    field(`Set ${set.number}`, el("input", { name: `hangs-${set.id}`, value: set.label, maxlength: 120, autocomplete: "off" })),
  );
  return el(
    "details",
    { class: "stack" },
    el("summary", { class: "target" }, "What hangs on each set today"),
    el("div", { class: "hangs" }, rows),
  );
}

function missingIn(form) {
  const missing = [];
  if (!form.querySelector("[name=checklist]:checked")) missing.push("Choose at least one checklist.");
  if (!form.aloft.value.trim()) missing.push("Name who goes aloft.");
  if (!form.deck.value.trim()) missing.push("Name who keeps the deck clear. Nobody goes up without somebody below.");
  if (!form.rescue.value.trim()) missing.push("Say who is called for rescue, and how.");
  if (!form.cautions.checked) missing.push("Read the cautions out and tick the box.");
  const sets = [form.from.selectedIndex, form.to.selectedIndex];
  if (sets[0] && sets[1] && sets[0] > sets[1]) missing.push("The first set of the scope comes after the last one.");
  return missing;
}

async function begin(walk, form, onBegin) {
  const chosen = new Set([...form.querySelectorAll("[name=checklist]:checked")].map((box) => box.value));
  const lists = walk.pack.checklists.filter((list) => chosen.has(list.id));
  const checklists = lists.map(({ id, revision }) => ({ id, revision }));
  const sets = walk.pack.line_sets;
  const narrowed = form.from.selectedIndex || form.to.selectedIndex;
  const first = Math.max(form.from.selectedIndex - 1, 0);
  const last = form.to.selectedIndex ? form.to.selectedIndex : sets.length;
  const now = new Date();
  const day = `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, "0")}-${String(now.getDate()).padStart(2, "0")}`;
  const title = lists.map((list) => list.title).join(" + ").slice(0, 180);
  const inScope = narrowed ? sets.slice(first, last).map((set) => set.id) : null;
  await walk.open({ id: uuid7(), title, checklists, line_sets: inScope });
  const hanging = Object.fromEntries(
    sets.map((set) => [set.id, form[`hangs-${set.id}`].value.trim()]).filter(([, text]) => text),
  );
  await walk.save(
    walk.entry("opening", {
      title,
      date_local: day,
      scope: { checklists, line_sets: inScope, areas: null },
      people: {
        aloft: form.aloft.value.split("\n").map((name) => name.trim()).filter(Boolean),
        deck: form.deck.value.trim(),
        radio: form.radio.value.trim(),
        rescue: form.rescue.value.trim(),
        down_at: form.down_at.value,
      },
      hangs: hanging,
      cautions_read: true,
    }),
  );
  say("Walk begun.");
  onBegin();
}
