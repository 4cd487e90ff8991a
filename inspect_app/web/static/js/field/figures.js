// Figures of a point: typed, kept as typed, and compared with the limits that the pack carries. The office judges again.

import { el, field } from "./dom.js";

const NUMBER = /^-?\d{1,9}([.,]\d{1,6})?$/;
const EXCEEDED = {
  more_than: (value, limit) => value > limit,
  at_least: (value, limit) => value >= limit,
  less_than: (value, limit) => value < limit,
  at_most: (value, limit) => value <= limit,
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
  const units = walk.pack.house.units === "metric" ? measure.units : [...measure.units].reverse();
  const value = el("input", { name: measure.quantity, inputmode: "decimal", autocomplete: "off", maxlength: 20 });
  const unit = el("select", { name: `${measure.quantity}-unit`, "aria-label": "Unit" }, units.map((name) => el("option", { value: name }, name)));
  const verdict = el("div", { class: "verdict", role: "status" });
  const judge = () => verdict.replaceChildren(...words(value.value, unit.value, limits, unknown));
  value.addEventListener("input", judge);
  unit.addEventListener("change", judge);
  const label = `${measure.quantity.replaceAll("_", " ")} (${measure.instrument})`;
  const node = el("div", { class: "stack figure" }, field(label, value, `Where: ${measure.station}`), unit, verdict);
  return { node, measure, value, unit, limits };
}

function compare(typed, unit, limit) {
  const value = Number(typed.replace(",", "."));
  const bound = Number(limit.value);
  if (unit === limit.unit) return EXCEEDED[limit.op]?.(value, bound);
  if (!(unit in TO_MM) || !(limit.unit in TO_MM)) return undefined;
  return EXCEEDED[limit.op]?.(value * TO_MM[unit], bound * TO_MM[limit.unit]);
}

function words(typed, unit, limits, unknown) {
  if (!typed.trim()) return [];
  if (!NUMBER.test(typed.trim())) return [el("p", { class: "caution" }, "Type a number, such as 6.35.")];
  const missing = unknown.map((why) => el("p", { class: "quiet" }, why)); // a clause nobody could apply must not disappear
  if (!limits.length) return missing.length ? missing : [el("p", { class: "quiet" }, "No published limit is known for this; it is kept as a figure.")];
  const verdicts = limits.map((limit) => {
    const outside = compare(typed.trim(), unit, limit);
    const said = outside === undefined ? "The office compares this unit." : outside ? limit.words_outside : limit.words_inside;
    const cite = [limit.source, limit.clause, limit.mark ? `(${limit.mark})` : ""].filter(Boolean).join(" ");
    return el("p", { class: outside ? "caution" : "note" }, `${said} `, el("span", { class: "quiet" }, cite));
  });
  return [...verdicts, ...missing];
}

export function readFigures({ rows }, point) {
  const measures = [];
  for (const { measure, value, unit, limits } of rows) {
    const typed = value.value.trim();
    if (!typed) continue;
    if (!NUMBER.test(typed)) return { problem: `${measure.quantity.replaceAll("_", " ")}: type a number, such as 6.35.`, measures: [] };
    const outcomes = limits.map((limit) => compare(typed, unit.value, limit));
    const hint = outcomes.includes(true) ? "outside" : outcomes.includes(undefined) || !limits.length ? "none" : "inside";
    const plain = typed.replace(",", ".");
    measures.push({
      point: point.id,
      quantity: measure.quantity,
      value: plain,
      unit: unit.value,
      typed,
      readings: [plain],
      station: null,
      gauge: null,
      resolution: "",
      load_state: "",
      hint,
    });
  }
  return { measures };
}
