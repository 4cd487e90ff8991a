// The sheet of one stop: a finding, a figure, one point by itself, or why a part was not looked at.

import { button, el, field, focusHeading, say, show } from "./dom.js";
import { uuid7 } from "./ids.js";
import { pointScreen } from "./point.js";
import { nextStepsScreen } from "./stopping.js";
import { RESULTS, STATES } from "./words.js";

const REASONS = ["Dark or no light", "Blocked by scenery or load", "No ladder or lift", "Not isolated", "Out of time", "Unsafe footing"];

export function sheetScreen(walk, { list, stop, state, row, mode, photo, point: at }, { onBack, onPhoto, onSpoken, onSaved, onNotSaved }) {
  const pass = `${stop.vantage}/${state}`;
  const again = () => sheetScreen(walk, { list, stop, state, row, mode: "points" }, { onBack, onPhoto, onSpoken, onSaved, onNotSaved });
  const parts = row.parts.filter((part) => walk.pointsHere(list, walk.pack.parts[part].kind, pass).length);
  const openPoint = (part, point, finding) =>
    pointScreen(walk, { list, pass, part, point, finding }, { onBack: again, onPhoto, onSpoken, onNotSaved, onSaved: saved });
  const saved = (stop) => {
    onSaved();
    if (stop) nextStepsScreen(walk, stop, { onBack, onSaved, onNotSaved });
    else onBack();
  };
  if (mode === "photo") {
    const what = { list, pass, part: row.parts[0], point: at, finding: photo.about.finding, [photo.kind === "recording" ? "recordings" : "photos"]: [photo.id] };
    pointScreen(walk, what, { onBack, onPhoto, onSpoken, onNotSaved, onSaved: saved });
    return;
  }
  show(
    el("h1", {}, `${stop.title} · ${row.label}`),
    el("p", { class: "quiet" }, `${STATES[state]}. Tap the point it is about.`),
    parts.map((part) => pointList(walk, list, pass, part, (point, finding) => openPoint(part, point, finding), mode)),
    mode === "other" ? notLooked(walk, list, pass, parts, row, { onBack, onSaved, onNotSaved }) : null,
    button("Back without saving", onBack, { class: "target wide" }),
  );
  focusHeading();
}

function pointList(walk, list, pass, part, open, mode) {
  const { tag, kind_title: title, accepted } = walk.pack.parts[part];
  const done = walk.answered(part);
  return el(
    "section",
    { class: "stack" },
    el("h2", {}, `${tag} · ${title}`),
    accepted ? el("p", { class: "note" }, `Accepted condition: ${accepted}`) : null,
    el(
      "ul",
      { class: "plain stack" },
      walk.pointsHere(list, walk.pack.parts[part].kind, pass).map((point) =>
        el(
          "li",
          {},
          el(
            "button",
            { type: "button", class: "target wide point", "data-point": point.id, onclick: () => open(point, mode === "finding") },
            el("span", {}, point.ask),
            el("span", { class: "quiet" }, `${point.method}${done.has(point.id) ? " · answered" : ""}`),
          ),
        ),
      ),
    ),
  );
}

function notLooked(walk, list, pass, parts, row, { onBack, onSaved, onNotSaved }) {
  const reason = el("input", { name: "reason", maxlength: 200, autocomplete: "off" });
  const error = el("p", { class: "caution", role: "alert", hidden: true }, "Say why, then tap again.");
  const save = (result) => async () => {
    if (!reason.value.trim()) {
      error.hidden = false;
      reason.focus();
      return;
    }
    const tap = uuid7();
    try {
      await walk.save(...parts.map((part) => walk.look(part, list, pass, { tap, result, reason: reason.value.trim(), ways: [] })));
    } catch (failure) {
      onNotSaved(failure);
      return;
    }
    say(`${row.label}: ${RESULTS[result]} recorded.`);
    onSaved();
    onBack();
  };
  const quick = REASONS.map((text) =>
    button(text, () => {
      reason.value = text;
    }, { class: "target small" }),
  );
  return el(
    "section",
    { class: "stack", id: "not-looked" },
    el("h2", {}, "Could not be looked at"),
    el("div", { class: "row" }, quick),
    field("Reason", reason, "It is printed in the report. Not applicable is confirmed at review."),
    error,
    el(
      "div",
      { class: "row" },
      button("Not reached", save("not_reached"), { class: "target main" }),
      button("Not applicable", save("not_applicable"), { class: "target" }),
    ),
  );
}
