// Figures of a point: typed, kept as typed, and compared with the limits that the pack carries. The office judges again.

import { el, field, say } from "./dom.js";
import { compare } from "./exact.js";
import { howMeasured } from "./gauge.js";
import { decimalFigure, readByTape } from "./typed_figure.js";

const GRAVITY = ["outside", "cannot_tell", "inside", "none"];
const OUTCOME_WORDS = { outside: "outside", cannot_tell: "cannot tell", inside: "inside", none: "not judged" };
const CANNOT_TELL = "cannot tell with this gauge";
const TOO_FAR = "not judged: far above the cited figure; check the figure and its unit";
const QUIET_MS = 900; // without a key pressed before a verdict is read out
const ONE_UNIT = { count: "a count", percent: "in percent", s: "in seconds", deg: "in degrees", none: "a bare number", in: "in inches", ft: "in feet" };
const IMPERIAL = ["in", "ft", "lbf", "lb", "lbf_ft"]; // of the units in which a figure may be asked for

export function figures(walk, part, point) {
  const rows = point.measures.map((measure) => oneFigure(walk, part, point, measure));
  const node = el("div", { class: "stack" }, rows.map((row) => row.node));
  return { node, rows };
}

function oneFigure(walk, part, point, measure) {
  const known = {
    limits: walk.pack.limits?.[part]?.[`${point.id}/${measure.quantity}`] || [],
    unknown: walk.pack.not_judged?.[part]?.[`${point.id}/${measure.quantity}`] || [],
    chosen: walk.pack.governing?.[measure.criterion] || "",
    bounds: walk.pack.bounds,
  };
  const foreign = (unit) => Number(IMPERIAL.includes(unit) !== (walk.pack.house.units === "imperial"));
  const units = [...measure.units].sort((one, other) => foreign(one) - foreign(other));
  const value = el("input", { name: measure.quantity, inputmode: "decimal", autocomplete: "off", maxlength: 20 });
  const unit = unitOf(measure.quantity, units);
  const verdict = el("div", { class: "verdict" });
  const outcomes = () => known.limits.map((limit) => compare(decimalFigure(value.value, unit.value).value, unit.value, how.step(unit.value), limit, known.bounds));
  const judge = () => {
    const open = verdict.querySelector("details")?.open; // somebody who reads all of them goes on reading
    verdict.replaceChildren(...shown(value.value, unit.value, known, outcomes));
    const all = verdict.querySelector("details");
    if (all && open) all.open = true;
    readOut(value, verdict);
  };
  const how = howMeasured(walk, part, measure, judge);
  value.addEventListener("input", judge);
  unit.addEventListener("change", judge);
  const many = units.length > 1;
  const label = [`${measure.quantity.replaceAll("_", " ")} (${measure.instrument})`, many ? null : unit];
  const strokes = units.some(readByTape) ? strokeKeys(value, unit, judge) : null;
  const entry = many || strokes ? el("div", { class: "entry" }, many ? unit : null, strokes) : null;
  const node = el("div", { class: "stack figure" }, field(label, value, whereWords(walk, part, point, measure)), entry, verdict, how.node);
  how.start();
  return { node, measure, value, unit, outcomes, how };
}

// One unit is no choice: it stands in the label, and is read out with it.
function unitOf(quantity, units) {
  if (units.length === 1) return el("data", { value: units[0] }, `, ${ONE_UNIT[units[0]] ?? `in ${units[0]}`}`);
  return el("select", { name: `${quantity}-unit`, "aria-label": "Unit" }, units.map((name) => el("option", { value: name }, name)));
}

// Where to measure, and for a count the length of this very rope to count over.
function whereWords({ pack }, part, point, measure) {
  const { spans = [], of = {} } = pack.counted_over ?? {};
  const span = spans[of[part]]?.[`${point.id}/${measure.quantity}`];
  return `Where: ${measure.station}${span ? `; on this rope ${span}` : ""}`;
}

// A phone that shows keys for figures only has none for a fraction, and a tape in inches is read in fractions.
function strokeKeys(value, unit, onChange) {
  const add = (sign) => () => {
    value.setRangeText(sign, value.selectionStart, value.selectionEnd, "end");
    value.focus();
    onChange();
  };
  const keys = [["'", "Feet mark"], [" ", "Space before a fraction"], ["/", "Fraction stroke"]].map(([sign, name]) =>
    el("button", { type: "button", class: "target", "aria-label": name, onclick: add(sign) }, sign.trim() || "space"),
  );
  const row = el("span", { class: "strokes" }, keys);
  const fit = () => {
    row.hidden = !readByTape(unit.value);
  };
  unit.addEventListener("change", fit);
  fit();
  return row;
}

// Read out once typing rests: a screen reader that hears of every key hears nothing.
let resting = 0;
function readOut(value, verdict) {
  clearTimeout(resting);
  if (!value.value.trim()) return;
  resting = setTimeout(() => {
    const lines = [...verdict.querySelectorAll("[data-lead] > p, p[data-lead], summary")].map((line) => line.textContent);
    if (value.isConnected) say(lines.join("; "));
  }, QUIET_MS);
}

const gravest = (outcomes) => GRAVITY.find((one) => outcomes.includes(one)) ?? "none";

// The verdict that leads, the strictest of the gravest since the office lists the strictest first, and all of them a tap away.
function shown(typed, unit, known, outcomes) {
  if (!typed.trim()) return [];
  const { problem } = decimalFigure(typed, unit);
  if (problem) return [el("p", { class: "caution", "data-lead": true }, problem)];
  const missing = known.unknown.map((why) => el("p", { class: "quiet", "data-lead": !known.limits.length }, why)); // a clause nobody could apply must not disappear
  if (!known.limits.length) return missing.length ? missing : [el("p", { class: "quiet", "data-lead": true }, "No published limit is known for this; it is kept as a figure.")];
  const found = outcomes();
  const lead = gravest(found);
  const here = known.limits.some((limit) => limit.governing) ? "Governing here" : "Governing here, with no row for this part";
  const why = known.chosen ? el("p", { class: "quiet" }, `${here}: ${known.chosen}. The others are shown beside it.`) : null;
  const strictest = known.limits[found.indexOf(lead)];
  const first = verdictBox(lead, outcomeWords(lead, strictest, unit, known.bounds), [cited(strictest, unit, known.bounds)], true);
  const many = known.limits.length + missing.length > 1;
  return [first, many ? allOf(found, known, unit, missing) : null, why].filter(Boolean);
}

function allOf(found, { limits, bounds }, unit, missing) {
  const tally = GRAVITY.map((one) => [found.filter((other) => other === one).length, OUTCOME_WORDS[one]]);
  const counts = tally.filter(([n]) => n).map(([n, words]) => `${n} ${words}`).join(", ");
  const rest = missing.length ? "; others not judged" : "";
  const alike = new Map(); // what is said, once, over the limits that say it
  for (const one of GRAVITY) {
    for (const limit of limits.filter((_, n) => found[n] === one)) {
      const said = outcomeWords(one, limit, unit, bounds);
      alike.set(said, [...(alike.get(said) ?? []), [one, limit]]);
    }
  }
  const boxes = [...alike].map(([said, rows]) => verdictBox(rows[0][0], said, rows.map(([, limit]) => cited(limit, unit, bounds)), false));
  return el("details", { class: "every-limit" }, el("summary", {}, `${limits.length > 1 ? `All ${limits.length} limits` : "1 limit"}: ${counts}${rest}`), boxes, missing);
}

function outcomeWords(outcome, limit, unit, bounds) {
  const known = bounds?.[limit.bound];
  return {
    none: known && !(unit in known) ? "not judged: the cited criterion is given in another kind of unit" : known?.[unit]?.too_far ? TOO_FAR : "The office compares this.",
    cannot_tell: limit.words_cannot_tell ?? CANNOT_TELL,
    outside: limit.words_outside,
    inside: limit.words_inside,
  }[outcome];
}

function cited(limit, unit, bounds) {
  const edge = bounds?.[limit.bound]?.[unit]?.says ?? bounds?.[limit.bound]?.[limit.unit]?.says;
  const words = [limit.governing ? "governing here:" : "", edge ? `outside when ${edge}:` : `limit ${limit.value} ${limit.unit}:`, limit.source, limit.clause, limit.mark ? `(${limit.mark})` : ""];
  return words.filter(Boolean).join(" ");
}

function verdictBox(outcome, said, lines, leads) {
  const tone = outcome === "outside" || outcome === "cannot_tell" ? "caution" : "note";
  return el("div", { class: tone, "data-lead": leads, "data-outcome": outcome }, el("p", { class: "verdict-words" }, said), lines.map((line) => el("p", { class: "quiet" }, line)));
}

// What was typed, fit for an entry; `outside` says that a figure lies outside a cited criterion.
export function readFigures({ rows }, point) {
  const measures = [];
  for (const { measure, value, unit, outcomes, how } of rows) {
    const typed = value.value.trim();
    if (!typed) continue;
    const name = measure.quantity.replaceAll("_", " ");
    const { value: plain, problem } = decimalFigure(typed, unit.value);
    if (problem) return { problem: `${name}: ${problem}`, measures: [] };
    const further = how.further().map((one) => [one, decimalFigure(one, unit.value)]);
    const odd = further.find(([, read]) => read.problem);
    if (odd) return { problem: `Further readings: ${odd[0]}: ${odd[1].problem} Write them apart by spaces, such as 6.34 6.36, and fractions by semicolons.`, measures: [] };
    measures.push({
      point: point.id,
      quantity: measure.quantity,
      value: plain,
      unit: unit.value,
      typed,
      readings: [plain, ...further.map(([, read]) => read.value)],
      ...how.read(unit.value),
      hint: gravest(outcomes()),
    });
  }
  return { measures, outside: measures.some((one) => one.hint === "outside") };
}
