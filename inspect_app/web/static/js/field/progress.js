// Which rows there are, how many of them are recorded, and the line that is always in sight.

import { VANTAGES } from "./words.js";

export function rowsOf(walk, list, stop, order) {
  const screens = list.screens[stop.id][order] || [];
  const inScope = (part) => !walk.scope || !walk.pack.parts[part].line_set || walk.scope.has(walk.pack.parts[part].line_set);
  return screens
    .map((screen) => ({
      ...screen,
      rows: screen.rows.map((row) => ({ ...row, parts: row.parts.filter(inScope) })).filter((row) => row.parts.length),
    }))
    .filter((screen) => screen.rows.length);
}

export function progressOf(walk, list, stop, state) {
  const pass = `${stop.vantage}/${state}`;
  let done = 0;
  let all = 0;
  for (const screen of rowsOf(walk, list, stop, "set")) {
    for (const row of screen.rows) {
      const asked = row.parts.filter((part) => walk.pointsHere(list, walk.pack.parts[part].kind, pass).length);
      if (!asked.length) continue;
      all += 1;
      if (asked.every((part) => walk.standing(part).some((look) => look.pass === pass))) done += 1;
    }
  }
  return { done, all };
}

function sum(walk, wanted) {
  let done = 0;
  let all = 0;
  for (const { list, stop } of walk.stops()) {
    if (!wanted(stop)) continue;
    for (const state of walk.states(list, stop)) {
      const one = progressOf(walk, list, stop, state);
      done += one.done;
      all += one.all;
    }
  }
  return `${done} of ${all}`;
}

// By kind (the stop in hand), by area (its vantage) and over the whole walk.
export function showProgress(walk, list, stop, state) {
  const line = document.getElementById("progress");
  line.hidden = !walk;
  if (!walk) return;
  const words = [`Whole walk ${sum(walk, () => true)}`];
  if (stop) {
    const here = progressOf(walk, list, stop, state);
    words.unshift(`${stop.title} ${here.done} of ${here.all}`, `${VANTAGES[stop.vantage]} ${sum(walk, (one) => one.vantage === stop.vantage)}`);
  }
  line.textContent = words.join(" \u00b7 ");
}
