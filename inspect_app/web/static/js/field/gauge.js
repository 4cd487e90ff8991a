// With which gauge, where and in which state a figure is taken: folded away, so that one number stays one number.

import { el, field, say } from "./dom.js";

const LOAD_STATES = [["", "not said"], ["unloaded", "pipe only, or slack"], ["balanced", "loaded and balanced"], ["loaded", "under load"]];
const OTHER = "other gauge";
const PLACES = 6; // that an entry keeps: a mean cut shorter could fall on the other side of a limit
const lastUsed = new Map(); // quantity -> {gauge, other, load}, for as long as the page is open

export function howMeasured(walk, part, measure, onChange) {
  const counted = measure.units.every((unit) => unit === "count");
  const gauges = counted ? [] : (walk.pack.gauges || []).filter((one) => fits(one, measure.units));
  const places = walk.pack.stations?.[part] || [];
  const before = lastUsed.get(measure.quantity) || {};
  const gauge = select(gauges.map((one) => [one.name, gaugeWords(one)]), before.gauge, [["", "not said"]], [[OTHER, "another, typed below"]]);
  const other = el("input", { name: `${measure.quantity}-gauge`, autocomplete: "off", maxlength: 80, value: before.other || "" });
  const place = select([...places.map((name) => [name, name]), [measure.station, measure.station || "not said"]], places[0]);
  const load = select(LOAD_STATES, before.load);
  const more = el("input", { name: `${measure.quantity}-more`, inputmode: "text", autocomplete: "off", maxlength: 120 });
  const mean = el("p", { class: "quiet" }, "");
  const otherField = field("Name on that gauge", other);
  const summary = el("summary", {}, "");
  const chosen = () => (gauge.value === OTHER ? other.value.trim() : gauge.value);
  const refresh = () => {
    otherField.hidden = gauge.value !== OTHER;
    const said = [counted ? "" : chosen() || "gauge not said", place.value, load.value].filter(Boolean);
    summary.textContent = `How: ${said.join("; ")}`;
    onChange();
  };
  const node = el("details", { class: "how-measured" }, summary,
    counted ? null : field("Gauge", gauge), counted ? null : otherField,
    places.length ? field("Place", place) : null,
    field("Load", load),
    counted ? null : field("Further readings", more, "Apart by spaces, fractions by semicolons. The number above is the one that is judged; these are kept with it."),
    counted ? null : mean);
  more.addEventListener("input", () => mean.replaceChildren(meanWords(further())));
  more.addEventListener("change", () => mean.textContent && say(mean.textContent)); // once all are typed, not at every key
  for (const one of [gauge, other, place, load]) one.addEventListener("input", refresh);
  const further = () => more.value.split(more.value.includes(";") ? ";" : /\s+/).map((one) => one.trim()).filter(Boolean);
  const listed = () => gauges.find((one) => one.name === gauge.value);
  return {
    node,
    start: refresh,
    step: (unit) => (counted ? "" : listed()?.steps[unit] || ""),
    further,
    read: (unit) => {
      lastUsed.set(measure.quantity, { gauge: gauge.value, other: other.value, load: load.value });
      return {
        station: place.value || null,
        gauge: (counted ? "" : chosen()) || null,
        resolution: counted ? "" : listed()?.steps[unit] || "",
        load_state: load.value,
      };
    },
  };
}

// Two readings at right angles are averaged; whoever measured types the mean above, so that what is judged was seen.
function meanWords(readings) {
  const numbers = readings.map((one) => Number(one.replace(",", ".")));
  if (numbers.length < 2 || !numbers.every(Number.isFinite)) return "";
  const mean = Number((numbers.reduce((sum, one) => sum + one, 0) / numbers.length).toFixed(PLACES));
  return `Mean of these ${numbers.length}: ${mean}. Where two at right angles are asked, type their mean above.`;
}

// A gauge fits when its step can be given in a unit that is asked for; one without a known step may be any.
function fits(gauge, units) {
  const known = Object.keys(gauge.steps);
  return !known.length || units.some((unit) => known.includes(unit));
}

function gaugeWords(gauge) {
  const overdue = gauge.calibration_due && gauge.calibration_due < new Date().toISOString().slice(0, 10);
  return `${gauge.name} (${gauge.kind_title}${overdue ? "; calibration overdue" : ""})`;
}

function select(pairs, chosen, first = [], last = []) {
  const all = [...first, ...pairs, ...last];
  const node = el("select", {}, all.map(([value, words]) => el("option", { value, selected: value === chosen }, words)));
  return node;
}
