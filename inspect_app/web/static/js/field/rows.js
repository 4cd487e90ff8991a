// One screen of a stretch: a well (rows are sets) or a set (rows are its lines). One tap on a row's target records it.

import { button, el, focusHeading, say, show } from "./dom.js";
import { uuid7 } from "./ids.js";
import { afterPaint, rowsOf, showProgressSoon } from "./progress.js";
import { shortName } from "./walk.js";
import { CAUTIONS, GRADES, PLACES, RESULTS, STATES, WAYS, list as inWords, time } from "./words.js";

const ON_THE_SCREEN = 9; // rows that fill a phone's screen; the others follow once these are painted
const TWICE_MS = 700; // a second tap within this time is a trembling hand, not a second thought

// Returns what draws the screen anew where it is scrolled to, after something came in.
export function rowsScreen(walk, list, stop, state, { onBack, onSheet, onStop, onSaved, onNotSaved, at }) {
  const pass = `${stop.vantage}/${state}`;
  walk.keepPlace({ list: list.id, stop: stop.id, state, ...(at ?? {}) });
  const screens = rowsOf(walk, list, stop, walk.place.order);
  let index = Math.max(0, screens.findIndex((screen) => screen.key === walk.place.screen));
  let drawn; // the rows that are shown now
  let lastTap = -TWICE_MS; // the clock of a page that was just opened begins at nought
  const ways = () => walk.place.ways;

  function draw(focus = true) {
    const screen = screens[index];
    walk.keepPlace({ screen: screen.key });
    // The order of the feet: reversed in each next well, and once more when the walker turns round.
    const reversed = Boolean(walk.place.turned) !== (walk.place.order === "well" && index % 2 === 1);
    const rows = reversed ? [...screen.rows].reverse() : screen.rows;
    const scrolled = focus ? 0 : window.scrollY;
    const fit = focus && !at ? ON_THE_SCREEN : rows.length;
    const here = el("ol", { class: "plain rows", id: "rows" }, rows.slice(0, fit).map(drawRow));
    drawn = here;
    show(head(screen), here, foot());
    if (fit < rows.length) afterPaint(() => here.append(...rows.slice(fit).map(drawRow)));
    showProgressSoon(walk, list, stop, state);
    if (focus) focusHeading();
    else window.scrollTo(0, scrolled);
  }

  function head(screen) {
    return el(
      "header",
      { class: `stretch-head ${state}` },
      el("div", { class: "head-line" }, el("h1", {}, `${screen.title} · ${STATES[state]}`), screens.length > 1 ? jump(screen) : null),
      el("p", { class: "answers", id: "answers" }, answersLine()),
      whatATapSays(),
      el("p", { class: "caution" }, CAUTIONS[state]),
      el("div", { class: "ways", role: "group", "aria-label": "Ways of looking on this stretch" }, Object.keys(WAYS).map(wayTarget)),
    );
  }

  // A walk may start at any well or set.
  function jump(screen) {
    const options = screens.map((one) => el("option", { value: one.key, selected: one.key === screen.key }, one.title));
    const go = (event) => {
      index = screens.findIndex((one) => one.key === event.target.value);
      draw();
    };
    return el("select", { class: "jump", "aria-label": "Go to", onchange: go }, options);
  }

  const tapped = () => stop.parts.flatMap((kind) => walk.fitting(list, kind, pass, ways()));

  function answersLine() {
    const points = tapped();
    if (!points.length) return "One tap answers nothing here with these ways of looking.";
    return `One tap: ${points.map((point) => shortName(list, point)).join(", ")}; ${inWords(ways().map((way) => WAYS[way]))}, ${STATES[state]}.`;
  }

  function whatATapSays() {
    const points = tapped();
    if (!points.length) return null;
    return el("details", {}, el("summary", {}, "What it says in full"), el("ul", {}, points.map((point) => el("li", {}, point.ask))));
  }

  function wayTarget(way) {
    const toggle = () => {
      const on = ways().includes(way);
      walk.keepPlace({ ways: on ? ways().filter((other) => other !== way) : [...ways(), way] });
      draw(false);
      document.querySelector(`[data-way=${way}]`).focus();
    };
    return button(WAYS[way], toggle, { class: "target", "data-way": way, "aria-pressed": String(ways().includes(way)) });
  }

  function drawRow(row) {
    return rowElement(walk, list, pass, row, {
      onTap: (parts) => once(() => record(row, parts)),
      onAnswer: (part, finding, answer) => once(() => answerFinding(row, part, finding, answer)),
      onUndo: (looks) => once(() => undo(row, looks)),
      onSheet: (mode) => onSheet({ list, stop, state, row, mode }),
    });
  }

  function once(act) {
    const now = performance.now();
    if (now - lastTap < TWICE_MS) return;
    lastTap = now;
    act().catch(onNotSaved);
  }

  const shown = (key) => drawn.querySelector(`[data-row="${key}"]`);
  const focusOn = (row) => (row.querySelector("button:not([disabled])") ?? row).focus({ preventScroll: true });

  // What was tapped is saved by now, also when somebody has gone on to another well, set or page meanwhile.
  function redraw(row) {
    afterPaint(onSaved);
    const before = shown(row.key);
    if (!before?.isConnected) return;
    const after = drawRow(row);
    before.replaceWith(after);
    focusOn(after);
    showProgressSoon(walk, list, stop, state);
  }

  function redrawAll() {
    const held = document.activeElement.closest("[data-row]")?.dataset.row;
    draw(false);
    const row = held && shown(held);
    if (row) focusOn(row);
    else focusHeading();
  }

  async function record(row, parts) {
    const tap = uuid7();
    const answers = parts.map((part) => [part, walk.left(list, part, pass, ways()).map((point) => point.id)]);
    await walk.save(...answers.filter(([, points]) => points.length).map(([part, points]) => walk.look(part, list, pass, { tap, points })));
    navigator.vibrate?.(20);
    say(`${row.label}: no finding recorded.`);
    redraw(row);
  }

  async function answerFinding(row, part, finding, answer) {
    const said = { point: finding.point || "", point_text: finding.what, defect: null, answer, of: finding.finding, grade: finding.grade, wear: null, note: "" };
    await walk.save(walk.look(part, list, pass, { result: "finding", points: finding.point ? [finding.point] : [], findings: [said] }));
    say(`${row.label}: ${answer.replaceAll("_", " ")} recorded.`);
    redraw(row);
  }

  async function undo(row, looks) {
    const tap = uuid7();
    await walk.save(...looks.map((look) => walk.look(look.part, list, pass, { tap, result: "withdrawn", replaces: [look.entry] })));
    say(`${row.label}: taken back.`);
    redraw(row);
  }

  function foot() {
    const go = (step) => () => {
      index += step;
      draw();
    };
    const turn = () => {
      walk.keepPlace({ turned: !walk.place.turned });
      draw();
    };
    return el(
      "nav",
      { class: "walk-foot", "aria-label": "Along the walk" },
      button("Before", go(-1), { class: "target", disabled: index === 0 }),
      button("Turn round", turn, { class: "target" }),
      button("Next", go(1), { class: "target main", disabled: index === screens.length - 1 }),
      button("Stop a set", onStop, { class: "target stop" }),
      button("Whole walk", onBack, { class: "target" }),
    );
  }

  if (!screens.length) {
    show(el("h1", {}, stop.title), el("p", {}, "No part of this kind is in the scope of the walk."), button("Whole walk", onBack));
    return () => {};
  }
  draw();
  return redrawAll;
}

// One row: its number, the large target, and two smaller ones. Nothing in it moves when it is tapped.
function rowElement(walk, list, pass, row, acts) {
  const asked = row.parts.filter((part) => walk.pointsHere(list, walk.pack.parts[part].kind, pass).length);
  const plain = asked.filter((part) => !walk.openFindings(part).length);
  const open = asked.flatMap((part) => walk.openFindings(part).map((finding) => ({ part, finding })));
  const set = walk.pack.parts[row.parts[0]].line_set;
  const stopped = row.parts.some((part) => walk.stopped.has(walk.placeOf(part)));
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
    stopped ? el("p", { class: "stop-word" }, stopWords(walk.sets.get(set))) : null,
    [...new Set(row.parts.flatMap((part) => walk.limitsAt(part)))].map((text) => el("p", { class: "note" }, `Restricted: ${text}`)),
    second.length ? el("p", { class: "note" }, `Second look at ${second.join(", ")}: look as if nobody had`) : null,
    asked.flatMap((part) => againLines(walk, list, pass, part)),
    open.map(({ part, finding }) => openLine(walk, part, finding, acts)),
  );
}

function againLines(walk, list, pass, part) {
  if (!walk.pack.look_again?.[part]) return []; // nearly every part: each row is drawn anew with each tap
  const points = walk.pointsHere(list, walk.pack.parts[part].kind, pass);
  return walk.lookAgain(points, part).map((words) => el("p", { class: "note" }, `Measure ${walk.pack.parts[part].tag}. ${words[0].toUpperCase()}${words.slice(1)}`));
}

function stopWords(set) {
  if (!set) return "STOPPED: not to be used";
  return set.keep_off ? "KEEP OFF after an event: nobody has said who may approach and how" : "STOPPED: not to be flown";
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
