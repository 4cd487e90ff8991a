// Which rows there are, how many of them are recorded, and the line that is always in sight.

import { VANTAGES } from "./words.js";

export function rowsOf(walk, list, stop, order) {
  return walk.once(`rows/${list.revision}/${stop.id}/${order}`, () => {
    const inScope = (part) => !walk.scope || !walk.pack.parts[part].line_set || walk.scope.has(walk.pack.parts[part].line_set);
    const narrowed = (screen) => ({
      ...screen,
      rows: screen.rows.map((row) => ({ ...row, parts: row.parts.filter(inScope) })).filter((row) => row.parts.length),
    });
    return (list.screens[stop.id][order] || []).map(narrowed).filter((screen) => screen.rows.length);
  });
}

// The parts of each row that are asked about in this pass; rows without any are left out.
function askedRows(walk, list, stop, pass) {
  return walk.once(`asked/${list.revision}/${stop.id}/${pass}`, () => {
    const isAsked = (part) => walk.pointsHere(list, walk.pack.parts[part].kind, pass).length;
    const rows = rowsOf(walk, list, stop, "set").flatMap((screen) => screen.rows);
    return rows.map((row) => row.parts.filter(isAsked)).filter((parts) => parts.length);
  });
}

export function progressOf(walk, list, stop, state) {
  const pass = `${stop.vantage}/${state}`;
  const rows = askedRows(walk, list, stop, pass);
  const looked = (part) => walk.standing(part).some((look) => look.pass === pass);
  const second = walk.once(`second/${list.revision}/${stop.id}/${pass}`, () => rows.filter((parts) => walk.secondLooks(list, parts, pass).length).length);
  return { done: rows.filter((parts) => parts.every(looked)).length, all: rows.length, second };
}

// By kind (the stop in hand), by area (its vantage) and over the whole walk.
export function showProgress(walk, list, stop, state) {
  const line = document.getElementById("progress");
  line.hidden = !walk;
  if (!walk) return;
  const stretches = walk.stops().flatMap((one) => walk.states(one.list, one.stop).map((at) => ({ stop: one.stop, ...progressOf(walk, one.list, one.stop, at) })));
  const words = [`Whole walk ${sum(stretches)}`];
  if (stop) {
    const here = progressOf(walk, list, stop, state);
    const area = stretches.filter((one) => one.stop.vantage === stop.vantage);
    words.unshift(`${stop.title} ${here.done} of ${here.all}`, `${VANTAGES[stop.vantage]} ${sum(area)}`);
  }
  line.textContent = words.join(" \u00b7 ");
}

function sum(stretches) {
  const add = (name) => stretches.reduce((total, one) => total + one[name], 0);
  return `${add("done")} of ${add("all")}`;
}

// Behind the frame that shows the tap, so that the tap's own answer does not wait for it.
let due = null;
export function showProgressSoon(...what) {
  if (!due) afterPaint(() => {
    const asked = due;
    due = null;
    showProgress(...asked);
  });
  due = what;
}

const LATER_MS = 30; // what the frame shows and the next touch come first

export function afterPaint(act) {
  if (document.hidden) return setTimeout(act); // no frame is painted then
  return requestAnimationFrame(() => setTimeout(act, LATER_MS));
}
