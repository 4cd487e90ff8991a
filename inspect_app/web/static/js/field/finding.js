// What is wrong: the usual defects, the wear rating with its words, and the action grade proposed.

import { button, el, field } from "./dom.js";
import { wearOf } from "./walk.js";
import { GRADES } from "./words.js";

const HEADINGS = { defect: "What is wrong", wear: "Wear rating", grade: "What should happen" };
const ORDER = Object.keys(GRADES);

export function findingForm(list, point) {
  const picked = { defect: null, wear: null, grade: point.grade };
  const wear = wearOf(list, point);
  const lowered = el("input", { name: "grade_reason", maxlength: 200, autocomplete: "off" });
  const loweredField = field("Why a lower grade than the checklist proposes", lowered, "It is printed in the report.");
  loweredField.hidden = true;
  const defects = choices(
    point.defects.map((defect) => [defect.id, defect.says]),
    (id) => {
      picked.defect = id;
    },
    "defect",
  );
  const ratings = choices(
    [0, 1, 2, 3, 4].map((rating) => [rating, `${rating}: ${wear[rating] || ""}`]),
    (rating) => {
      picked.wear = rating;
    },
    "wear",
  );
  const grades = choices(
    ORDER.map((grade) => [grade, GRADES[grade]]),
    (grade) => {
      picked.grade = grade;
      loweredField.hidden = ORDER.indexOf(grade) >= ORDER.indexOf(point.grade);
    },
    "grade",
    point.grade,
  );
  const node = el(
    "section",
    { class: "stack finding" },
    el("h2", {}, HEADINGS.defect),
    defects,
    el("h2", {}, HEADINGS.wear),
    ratings,
    el("h2", {}, HEADINGS.grade),
    grades,
    loweredField,
  );
  return {
    node,
    problem: () =>
      !loweredField.hidden && !lowered.value.trim() ? `The checklist proposes ${GRADES[point.grade]}. Say why a lower grade.` : "",
    read: () => ({
      point: point.id,
      point_text: point.ask,
      defect: picked.defect,
      answer: "new",
      of: null,
      grade: picked.grade,
      proposed_grade: point.grade,
      grade_reason: loweredField.hidden ? "" : lowered.value.trim(),
      wear: picked.wear,
      note: "",
    }),
  };
}

function choices(pairs, onPick, name, chosen = undefined) {
  const group = el("div", { class: "choices", role: "group", "aria-label": HEADINGS[name] });
  for (const [value, words] of pairs) {
    const pick = (event) => {
      onPick(value);
      for (const other of group.children) other.setAttribute("aria-pressed", String(other === event.currentTarget));
    };
    const attributes = { class: "target wide choice-target", "aria-pressed": String(value === chosen), [`data-${name}`]: value };
    group.append(button(words, pick, attributes));
  }
  return group;
}
