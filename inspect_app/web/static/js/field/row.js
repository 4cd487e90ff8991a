// One row: its number, the large target, and two smaller ones. Nothing in it moves when it is tapped.

import { button, el } from "./dom.js";
import { GRADES, PLACES, RESULTS, time } from "./words.js";

export function rowElement(walk, list, stop, pass, row, acts) {
  const asked = row.parts.filter((part) => walk.pointsHere(list, walk.pack.parts[part].kind, pass).length);
  const plain = asked.filter((part) => !walk.openFindings(part).length);
  const open = asked.flatMap((part) => walk.openFindings(part).map((finding) => ({ part, finding })));
  const set = walk.pack.parts[row.parts[0]].line_set;
  const stopped = walk.stopped.has(set);
  const second = walk.secondLooks(list, asked, pass).map((part) => walk.pack.parts[part].tag);
  return el(
    "li",
    { class: `walk-row${stopped ? " stopped" : ""}`, "data-row": row.key, tabindex: -1 },
    el(
      "div",
      { class: "row-line" },
      el("span", { class: row.label.length > 4 ? "row-number row-name" : "row-number" }, row.label),
      mainTarget(walk, list, pass, row, plain, asked, acts),
      button("Finding", () => acts.onSheet("finding"), { class: "target", "aria-label": `Finding at ${row.label}`, disabled: !asked.length }),
      moreTarget(walk, pass, row, asked, acts),
    ),
    stopped ? el("p", { class: "stop-word" }, walk.sets.get(set)?.keep_off ? "KEEP OFF after an event: nobody has said who may approach and how" : "STOPPED: not to be flown") : null,
    (walk.sets.get(set)?.limits || []).map((text) => el("p", { class: "note" }, `Restricted: ${text}`)),
    second.length ? el("p", { class: "note" }, `Second look at ${second.join(", ")}: look as if nobody had`) : null,
    open.map(({ part, finding }) => openLine(walk, part, finding, acts)),
  );
}

function recordedIn(walk, pass, parts) {
  return parts.flatMap((part) => walk.standing(part).filter((look) => look.pass === pass));
}

function mainTarget(walk, list, pass, row, plain, asked, acts) {
  const looks = recordedIn(walk, pass, asked);
  const left = plain.filter((part) => walk.left(list, part, pass, walk.place.ways).length);
  const closed = looks.some((look) => look.result === "not_reached" || look.result === "not_applicable");
  if (looks.length && (closed || !left.length)) return recorded(walk, row, looks);
  if (!left.length) return el("button", { type: "button", class: "target tap", disabled: true }, asked.length ? "Needs another way of looking" : "Nothing asked");
  const words = looks.length ? "No finding in the rest" : "No finding";
  return button(words, () => acts.onTap(left), { class: "target tap", "aria-label": `${words}: ${row.label}` });
}

function recorded(walk, row, looks) {
  const order = ["finding", "not_reached", "not_applicable", "no_finding"];
  const worst = order.find((result) => looks.some((look) => look.result === result)) || "no_finding";
  const at = looks.map((look) => look.at).sort().at(-1);
  const attributes = {
    type: "button",
    class: `target tap recorded result-${worst}`,
    "aria-disabled": "true",
    "data-entries": looks.map((look) => look.entry).join(" "),
  };
  return el("button", attributes, el("span", { class: "visually-hidden" }, `${row.label}: `), el("strong", {}, RESULTS[worst]), el("span", { class: "quiet" }, `${time(at)} ${whereWords(walk, looks.map((look) => look.entry))}`));
}

function moreTarget(walk, pass, row, asked, acts) {
  const looks = recordedIn(walk, pass, asked);
  const latest = looks.map((look) => look.at).sort().at(-1);
  const last = looks.find((look) => look.at === latest);
  if (last) {
    const together = looks.filter((look) => look.tap === last.tap);
    return button("Undo", () => acts.onUndo(together), { class: "target", "aria-label": `Undo the last entry at ${row.label}` });
  }
  return button("Other", () => acts.onSheet("other"), {
    class: "target",
    "aria-label": `Not reached, not applicable or one by one at ${row.label}`,
    disabled: !asked.length,
  });
}

function openLine(walk, part, finding, acts) {
  const answer = (key, words) =>
    button(words, () => acts.onAnswer(part, finding, key), { class: "target", "aria-label": `${words}: ${finding.what}` });
  return el(
    "div",
    { class: "open-finding" },
    el("p", {}, el("strong", {}, `${walk.pack.parts[part].tag}: `), `${finding.what} (${GRADES[finding.grade] || finding.grade})`),
    el("div", { class: "row" }, answer("still_there", "Still there"), answer("worse", "Worse"), answer("not_seen_now", "Not seen now")),
  );
}

// Where the entries of a row are: the least advanced one is said.
function whereWords(walk, entries) {
  const states = entries.map((entry) => walk.where.get(entry) ?? "office");
  return PLACES[states.includes("here") ? "here" : states.includes("held") ? "held" : "office"];
}

// After the office has answered: the words change in place, nothing moves.
export function refreshPlaces(walk) {
  for (const target of document.querySelectorAll("[data-entries]")) {
    const words = target.querySelector(".quiet");
    words.textContent = `${words.textContent.slice(0, 5)} ${whereWords(walk, target.dataset.entries.split(" "))}`;
  }
}
