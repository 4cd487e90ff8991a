// One point of one part: how to look, the figures with their limits, and what is wrong if anything is.

import { button, el, field, focusHeading, say, show } from "./dom.js";
import { figures, readFigures } from "./figures.js";
import { findingForm } from "./finding.js";
import { drafts } from "./memory.js";
import { retakeOffer } from "./retake.js";
import { lastPhoto } from "./thumbs.js";
import { voiceField } from "./voice.js";
import { meets } from "./walk.js";
import { WAYS } from "./words.js";

export function pointScreen(walk, { list, pass, part, point, finding, photos: before = [], recordings: spoken = [] }, acts) {
  const { tag } = walk.pack.parts[part];
  const draftKey = `${walk.id}/${part}/${point.id}`;
  const about = { walk: walk.id, list: list.id, pass, part, point: point.id, finding: Boolean(finding) };
  const form = el("form", { class: "stack", novalidate: true });
  const error = el("p", { class: "caution", role: "alert", hidden: true });
  const numbers = figures(walk, part, point);
  const trouble = findingForm(list, point);
  trouble.node.hidden = !finding;
  const photos = photoField(acts.onPhoto, about, [...before]);
  const looked = waysField(walk, point);
  const note = el("textarea", { name: "note", rows: 2, maxlength: 1000 });
  const voice = voiceField(walk.house, about, spoken, acts.onSpoken);

  let outsideTold = false;

  const save = async (withFinding) => {
    const read = readFigures(numbers, point);
    const wrong = read.problem || looked.problem() || (withFinding ? trouble.problem() : "");
    error.hidden = !wrong;
    error.textContent = wrong;
    if (wrong) return error.scrollIntoView({ block: "center" });
    if (read.outside && !withFinding && !outsideTold) {
      outsideTold = true; // told once: what was measured may be no fault, which is for whoever stands there to say
      error.hidden = false;
      error.textContent = "A figure is outside a cited criterion. Tap Something is wrong to record it as a finding, or No finding once more to keep the figure alone.";
      return error.scrollIntoView({ block: "center" });
    }
    await voice.finish();
    const findings = withFinding ? [trouble.read()] : [];
    const look = walk.look(part, list, pass, {
      points: [point.id],
      ways: looked.ways(),
      result: withFinding ? "finding" : "no_finding",
      findings,
      measures: read.measures,
      photos: photos.ids(),
      ...(voice.ids().length ? { recordings: voice.ids() } : {}),
      note: note.value.trim(),
    });
    let entry;
    try {
      [entry] = await walk.save(look);
    } catch (failure) {
      return acts.onNotSaved(failure);
    }
    await drafts.drop(draftKey).catch(() => {}); // on a full phone; what counts is kept, and must not be called lost
    say(`${tag}: saved.${read.outside ? " A figure is outside a cited criterion." : ""}`);
    const stops = withFinding && findings[0].grade === "stop_use";
    return acts.onSaved(stops ? { entry, part } : null);
  };
  const back = () => {
    voice.finish(); // what was spoken is kept and found under What is on this phone
    acts.onBack();
  };
  const openFinding = () => {
    trouble.node.hidden = false;
    plain.hidden = true;
    something.hidden = true;
    saveFinding.hidden = false;
    trouble.node.querySelector("input, button")?.focus();
  };
  const plain = button("No finding for this point", () => save(false), { class: "target main wide", hidden: Boolean(finding) });
  const something = button("Something is wrong", openFinding, { class: "target wide", hidden: Boolean(finding) });
  const saveFinding = button("Save the finding", () => save(true), { class: "target main wide", hidden: !finding });
  form.append(
    el("h1", {}, `${tag}: ${point.ask}`),
    el("p", {}, el("strong", {}, "How: "), point.how),
    el("p", {}, el("strong", {}, "Good: "), point.good),
    point.stop_use.length ? el("p", { class: "caution" }, el("strong", {}, "Stop use when: "), point.stop_use.join("; ")) : "",
    looked.node,
    ...walk.lookAgain([point], part).map((words) => el("p", { class: "note" }, `By its measures so far: ${words}`)),
    numbers.node,
    trouble.node,
    lastPhoto(walk.pack, part),
    retakeOffer(walk.pack, part, photos.add),
    field(point.photo === "always" ? "Photo (asked for)" : "Photo", photos.input),
    photos.list,
    field("Note", note),
    voice.node,
    error,
    plain,
    something,
    saveFinding,
    button("Back without saving", back, { class: "target wide" }),
    el("p", { class: "quiet" }, `Basis: ${point.basis.text}.`),
  );
  form.addEventListener("submit", (event) => event.preventDefault());
  show(form);
  focusHeading();
  keepDraft(draftKey, form);
}

// How this one point was looked at; it starts as the stretch does and may be set for this point alone.
function waysField(walk, point) {
  const ways = new Set(walk.place.ways);
  const group = el("div", { class: "ways", role: "group", "aria-label": "How it was looked at" });
  for (const [way, words] of Object.entries(WAYS)) {
    const toggle = (event) => {
      if (!ways.delete(way)) ways.add(way);
      event.currentTarget.setAttribute("aria-pressed", String(ways.has(way)));
    };
    group.append(button(words, toggle, { class: "target", "aria-pressed": String(ways.has(way)), "data-point-way": way }));
  }
  return {
    node: el("div", { class: "stack" }, el("p", {}, el("strong", {}, "How was it looked at?")), group),
    ways: () => [...ways],
    problem: () => (meets(point, [...ways]) ? "" : `This point needs: ${WAYS[point.way]}. Tap how it was looked at.`),
  };
}

function photoField(keep, about, kept) {
  const list = el("ul", { class: "plain photos", "aria-live": "polite" }, kept.map(() => el("li", {}, "A photo taken before: on this phone")));
  const input = el("input", { type: "file", name: "photo", accept: "image/jpeg,image/png,image/webp,image/heic", capture: "environment", multiple: true });
  const add = async (file) => {
    const line = el("li", {}, `${file.name}: being kept ...`);
    list.append(line);
    try {
      kept.push(await keep(file, about));
      line.textContent = `${file.name}: on this phone`;
    } catch (error) {
      const full = error?.name === "QuotaExceededError";
      line.textContent = `${file.name}: NOT kept, ${full ? "the phone's storage is full. The entry can be saved without it." : error.message}`;
    }
  };
  input.addEventListener("change", async () => {
    for (const file of [...input.files]) await add(file);
    input.value = "";
  });
  return { input, list, add, ids: () => [...kept] };
}

// What is typed and not yet saved survives a closed page; it is written 300 ms after the last key.
function keepDraft(key, form) {
  let timer = 0;
  const values = () => Object.fromEntries([...form.querySelectorAll("input[name]:not([type=file]), textarea[name]")].map((one) => [one.name, one.value]));
  const write = () => drafts.set(key, values()).catch(() => {});
  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(write, 300);
  });
  drafts.get(key).then((draft) => {
    for (const [name, value] of Object.entries(draft?.values || {})) {
      const input = form.elements.namedItem(name);
      if (input && !input.value && value) {
        input.value = value;
        input.dispatchEvent(new Event("input"));
      }
    }
  });
}
