// One screen of a stretch: a well (rows are sets) or a set (rows are its lines). One tap on a row's target records it.

import { button, el, focusHeading, say, show } from "./dom.js";
import { uuid7 } from "./ids.js";
import { afterPaint, rowsOf, showProgressSoon } from "./progress.js";
import { shortName } from "./walk.js";
import { rowElement } from "./row.js";
import { CAUTIONS, STATES, WAYS, list as inWords } from "./words.js";

const ON_THE_SCREEN = 9; // rows that fill a phone's screen; the others follow once these are painted
const TWICE_MS = 700; // a second tap within this time is a trembling hand, not a second thought

// Returns what draws the screen anew where it is scrolled to, after something came in.
export function rowsScreen(walk, list, stop, state, { onBack, onSheet, onStop, onSaved, onNotSaved, at }) {
  const pass = `${stop.vantage}/${state}`;
  walk.keepPlace({ list: list.id, stop: stop.id, state, ...(at ?? {}) });
  const screens = rowsOf(walk, list, stop, walk.place.order);
  let index = Math.max(0, screens.findIndex((screen) => screen.key === walk.place.screen));
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
    const drawn = el("ol", { class: "plain rows", id: "rows" }, rows.slice(0, fit).map(drawRow));
    show(head(screen), drawn, foot());
    if (fit < rows.length) afterPaint(() => drawn.append(...rows.slice(fit).map(drawRow)));
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
    return rowElement(walk, list, stop, pass, row, {
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

  function redraw(row) {
    const before = document.querySelector(`[data-row="${row.key}"]`);
    const after = drawRow(row);
    before.replaceWith(after);
    (after.querySelector("button:not([disabled])") ?? after).focus?.({ preventScroll: true });
    showProgressSoon(walk, list, stop, state);
    afterPaint(onSaved);
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
  return () => draw(false);
}
