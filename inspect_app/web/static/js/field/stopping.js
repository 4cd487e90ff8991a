// Anyone may stop a set: two taps store it before anything is asked, then the next steps, one tap each.

import { button, el, field, focusHeading, say, show } from "./dom.js";
import { happenedScreen } from "./happened.js";
import { radioWords } from "./radio.js";

const STEPS = [
  ["told_rail", "Told the rail by radio"],
  ["lock_and_tag_on", "Lock and tag on"],
  ["area_cleared", "Area below cleared"],
  ["isolator_locked", "Isolator locked"],
  ["could_not", "Could not do any of it yet"],
];

export function stoppingScreen(walk, acts) {
  const { onBack } = acts;
  const choose = (set) => () => confirmScreen(walk, set, acts);
  show(
    el("h1", {}, "Stop a set"),
    el("p", {}, "Tap the set, then confirm. Do not move it."),
    el(
      "div",
      { class: "set-grid" },
      walk.pack.line_sets.map((set) =>
        button(set.number, choose(set), { class: `target${walk.stopped.has(set.id) ? " recorded" : ""}`, "aria-label": `Set ${set.number}` }),
      ),
    ),
    button("Something happened: hold a set and its neighbours", () => happenedScreen(walk, acts), { class: "target wide" }),
    button("Back", onBack, { class: "target wide" }),
  );
  focusHeading();
}

function confirmScreen(walk, set, acts) {
  const store = async () => {
    try {
      const [entry] = await walk.save(walk.entry("stop", { line_set: set.id, area: null, part: null, why: "Stopped on the walk" }));
      acts.onSaved();
      stepsScreen(walk, `set ${set.number}`, entry.id, acts);
    } catch (failure) {
      acts.onNotSaved(failure);
    }
  };
  show(
    el("h1", {}, `Set ${set.number}`),
    el("p", {}, set.label),
    button(`Stop set ${set.number} now`, store, { class: "target stop wide" }),
    button("Not this one", () => stoppingScreen(walk, acts), { class: "target wide" }),
  );
  focusHeading();
}

// After a finding that stops its set, or the part itself where it belongs to no set.
export function nextStepsScreen(walk, { entry, part }, acts) {
  const { line_set: id, tag } = walk.pack.parts[part];
  stepsScreen(walk, id ? `set ${walk.sets.get(id).number}` : tag, entry.id, acts, id ? undefined : "Leave it as it is; nobody uses it.");
}

function stepsScreen(walk, what, of, acts, order = "Leave it where it is; nobody moves it.") {
  const who = el("input", { name: "who", maxlength: 120, autocomplete: "off" });
  const done = el("ul", { class: "plain" });
  const step = (key, words) =>
    button(words, async () => {
      try {
        await walk.save(walk.entry("stop", { of, step: key, who: who.value.trim(), note: "" }));
        acts.onSaved();
        done.append(el("li", { class: "note" }, `${words}: recorded.`));
        say(`${words}: recorded.`);
      } catch (failure) {
        acts.onNotSaved(failure);
      }
    }, { class: "target wide" });
  show(
    el("h1", {}, `Stopped: ${what}`),
    radioWords(of, `${what}, stop. ${order}`),
    field("Who was told, or who does it", who),
    el("div", { class: "stack" }, STEPS.map(([key, words]) => step(key, words))),
    done,
    button("Back to the walk", acts.onBack, { class: "target main wide" }),
  );
  focusHeading();
}
