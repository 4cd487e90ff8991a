// Something happened: the first question before anything else, then which set and what; the set and its neighbours are on hold.

import { button, el, focusHeading, say, show } from "./dom.js";
import { radioWords } from "./radio.js";

const KEEP_OFF = "Keep everyone off the deck below, the bridge and the grid there. Call a qualified person. No walk is offered until a named one says who may approach and how.";
const KINDS = [
  ["runaway", "Runaway or hard stop"],
  ["overload", "Overload or unknown load"],
  ["collision", "A batten hit or was hit"],
  ["dropped", "Something fell"],
  ["shock", "Shock or snag"],
  ["power_failure", "Power failure in motion"],
  ["water", "Water"],
  ["fire", "Fire or smoke"],
  ["quake", "Earthquake"],
  ["unusual", "Something unusual was noticed"],
  ["other", "Something else"],
];

export function happenedScreen(walk, acts) {
  const ask = (danger) => () => whereScreen(walk, danger, acts);
  show(
    el("h1", {}, "Something happened"),
    el("p", { class: "caution" }, "Is anything still hanging, moving, leaking, live or unsupported?"),
    el("div", { class: "stack" }, [
      button("Yes", ask("yes"), { class: "target stop wide" }),
      button("Not known", ask("not_known"), { class: "target stop wide" }),
      button("No", ask("no"), { class: "target wide" }),
    ]),
    button("Back", acts.onBack, { class: "target wide" }),
  );
  focusHeading();
}

function warning(danger) {
  return danger === "no" ? null : el("p", { class: "caution" }, KEEP_OFF);
}

function whereScreen(walk, danger, acts) {
  show(
    el("h1", {}, "At which set?"),
    warning(danger),
    el("p", {}, "Leave it as it is; nobody moves it."),
    el("div", { class: "set-grid" }, walk.pack.line_sets.map((set) => button(set.number, () => whatScreen(walk, danger, set, acts), { "aria-label": `Set ${set.number}` }))),
    button("Back", () => happenedScreen(walk, acts), { class: "target wide" }),
  );
  focusHeading();
}

function whatScreen(walk, danger, set, acts) {
  const store = (event, what) => async () => {
    try {
      const [entry] = await walk.save(walk.entry("event", { event, danger, what, line_set: set.id, area: null, part: null, note: "", photos: [] }));
      acts.onSaved();
      heldScreen(walk, danger, set, entry.id, acts);
    } catch (failure) {
      acts.onNotSaved(failure);
    }
  };
  show(
    el("h1", {}, `Set ${set.number}: what happened?`),
    warning(danger),
    el("div", { class: "stack" }, KINDS.map(([key, words]) => button(words, store(key, words), { class: "target wide" }))),
    button("Not this set", () => whereScreen(walk, danger, acts), { class: "target wide" }),
  );
  focusHeading();
}

function heldScreen(walk, danger, set, of, acts) {
  const numbers = walk.heldWith(set.id).map((id) => walk.sets.get(id).number);
  show(
    el("h1", {}, `On hold: set ${numbers.join(", ")}`),
    warning(danger),
    radioWords(of, `set ${set.number} and its neighbours, stop. Leave them where they are; nobody moves them.`),
    el("p", {}, "The office opens the inspection after it, from the grid down, when a person may go there."),
    button("Back to the walk", acts.onBack, { class: "target main wide" }),
  );
  say(`On hold: set ${numbers.join(", ")}.`);
  focusHeading();
}
