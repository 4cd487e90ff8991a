// Figures of a point: typed, kept as typed, and compared with the limits that the pack carries. The office judges again.

import { el, field } from "./dom.js";
import { howMeasured } from "./gauge.js";

const NUMBER = /^-?\d{1,9}([.,]\d{1,6})?$/;
const EXCEEDED = {
  more_than: (value, limit) => value > limit,
  at_least: (value, limit) => value >= limit,
  less_than: (value, limit) => value < limit,
  at_most: (value, limit) => value <= limit,
};
const OP_WORDS = {
  more_than: (size) => `more than ${size}`,
  at_least: (size) => `${size} or more`,
  less_than: (size) => `less than ${size}`,
  at_most: (size) => `${size} or less`,
};
// Exact in the metric direction by definition (1 in = 25.4 mm).
const TO_MM = { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 };

export function figures(walk, part, point) {
  const rows = point.measures.map((measure) => oneFigure(walk, part, point, measure));
  const node = el("div", { class: "stack" }, rows.map((row) => row.node));
  return { node, rows };
}

function oneFigure(walk, part, point, measure) {
  const limits = walk.pack.limits?.[part]?.[`${point.id}/${measure.quantity}`] || [];
  const unknown = walk.pack.not_judged?.[part]?.[`${point.id}/${measure.quantity}`] || [];
  const chosen = walk.pack.governing?.[measure.criterion] || "";
  const units = walk.pack.house.units === "metric" ? measure.units : [...measure.units].reverse();
  const value = el("input", { name: measure.quantity, inputmode: "decimal", autocomplete: "off", maxlength: 20 });
  const unit = el("select", { name: `${measure.quantity}-unit`, "aria-label": "Unit" }, units.map((name) => el("option", { value: name }, name)));
  const verdict = el("div", { class: "verdict", role: "status" });
  const judge = () => verdict.replaceChildren(...words(value.value, unit.value, how.step(unit.value), limits, unknown, chosen));
  const how = howMeasured(walk, part, measure, judge);
  value.addEventListener("input", judge);
  unit.addEventListener("change", judge);
  const label = `${measure.quantity.replaceAll("_", " ")} (${measure.instrument})`;
  const node = el("div", { class: "stack figure" }, field(label, value, `Where: ${measure.station}`), unit, verdict, how.node);
  how.start();
  return { node, measure, value, unit, limits, how };
}

// "outside", "inside", "cannot_tell" within half a step of the gauge, "none" when the phone cannot compare the units.
function compare(typed, unit, step, limit) {
  const same = unit === limit.unit;
  if (!same && (!(unit in TO_MM) || !(limit.unit in TO_MM))) return "none";
  const [here, there] = same ? [1, 1] : [TO_MM[unit], TO_MM[limit.unit]];
  const value = Number(typed.replace(",", ".")) * here;
  const bound = Number(limit.value) * there;
  const half = (Number(step) * here) / 2;
  if (half > 0 && Math.abs(value - bound) <= half * (1 + 1e-9)) return "cannot_tell";
  return EXCEEDED[limit.op]?.(value, bound) ? "outside" : "inside";
}

// The limit as it is shown, in the unit in which the figure is typed where it can be; what is compared stays exact.
function says(limit, unit) {
  const other = unit !== limit.unit && unit in TO_MM && limit.unit in TO_MM;
  const value = other ? Number(((Number(limit.value) * TO_MM[limit.unit]) / TO_MM[unit]).toPrecision(6)) : Number(limit.value);
  const sign = other ? unit : limit.unit;
  const size = sign === "count" ? String(value) : `${value} ${sign === "percent" ? "%" : sign}`;
  return `outside when ${OP_WORDS[limit.op]?.(size) || size}:`;
}

function worst(outcomes) {
  return ["outside", "cannot_tell", "none"].find((one) => outcomes.includes(one)) || (outcomes.length ? "inside" : "none");
}

function words(typed, unit, step, limits, unknown, chosen) {
  if (!typed.trim()) return [];
  if (!NUMBER.test(typed.trim())) return [el("p", { class: "caution" }, "Type a number, such as 6.35.")];
  const missing = unknown.map((why) => el("p", { class: "quiet" }, why)); // a clause nobody could apply must not disappear
  if (!limits.length) return missing.length ? missing : [el("p", { class: "quiet" }, "No published limit is known for this; it is kept as a figure.")];
  const verdicts = limits.map((limit) => {
    const outcome = compare(typed.trim(), unit, step, limit);
    const said = {
      none: "The office compares this unit.",
      cannot_tell: "Cannot tell with this gauge.",
      outside: limit.words_outside,
      inside: limit.words_inside,
    }[outcome];
    const here = limit.governing ? "governing here:" : "";
    const cite = [here, says(limit, unit), limit.source, limit.clause, limit.mark ? `(${limit.mark})` : ""].filter(Boolean).join(" ");
    return el("p", { class: outcome === "outside" || outcome === "cannot_tell" ? "caution" : "note" }, `${said} `, el("span", { class: "quiet" }, cite));
  });
  const why = chosen ? [el("p", { class: "quiet" }, `Governing here: ${chosen}. The others are shown beside it.`)] : [];
  return [...verdicts, ...missing, ...why];
}

export function readFigures({ rows }, point) {
  const measures = [];
  for (const { measure, value, unit, limits, how } of rows) {
    const typed = value.value.trim();
    if (!typed) continue;
    if (!NUMBER.test(typed)) return { problem: `${measure.quantity.replaceAll("_", " ")}: type a number, such as 6.35.`, measures: [] };
    const further = how.further();
    const odd = further.find((one) => !NUMBER.test(one));
    if (odd) return { problem: `Further readings: ${odd} is not a number. Write them apart by spaces, such as 6.34 6.36.`, measures: [] };
    const plain = typed.replace(",", ".");
    measures.push({
      point: point.id,
      quantity: measure.quantity,
      value: plain,
      unit: unit.value,
      typed,
      readings: [plain, ...further.map((one) => one.replace(",", "."))],
      ...how.read(unit.value),
      hint: worst(limits.map((limit) => compare(typed, unit.value, how.step(unit.value), limit))),
    });
  }
  return { measures };
}
