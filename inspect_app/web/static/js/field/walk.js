// The walk in hand: the pack, what has been recorded, and which points one tap answers here.

import { uuid7 } from "./ids.js";
import { places, walks } from "./memory.js";
import { addEntries, entriesOf } from "./outbox.js";
import { afterPaint } from "./progress.js";

const MET_BY = {
  handled: ["handled"],
  seen_close: ["handled", "seen_close"],
  seen_from_afar: ["handled", "seen_close", "seen_from_afar"],
  heard: ["heard"],
};
export const SCHEMA = 1; // of the entries that this page writes; the office is told, and says what to do if it differs
const RANK = { trained: 0, competent: 1, qualified: 2 };
const TAPPED = new Set(["look", "feel", "listen"]);

export class Walk {
  constructor(house, device, pack) {
    Object.assign(this, { house, device, where: new Map(), worked: new Map() });
    this.usePack(pack);
    this.keepLooks([]);
  }

  usePack(pack) {
    this.pack = pack;
    this.worked.clear();
    this.sets = new Map(pack.line_sets.map((set) => [set.id, set]));
    this.stopped = new Set(stoppedIn(pack));
  }

  // Opens a walk as this phone knows it; `known` comes from the pack or from the opening just made, `read` is what the
  // phone has of it where that was read before.
  async open(known, read) {
    const [kept, own, place] = await Promise.all([read ?? walks.get(known.id), entriesOf(known.id), places.get(known.id)]);
    const { id, title, checklists, line_sets: sets, office } = { ...kept, ...known };
    Object.assign(this, { id, title });
    const chosen = checklists.map((item) => item.revision);
    this.checklists = (await Promise.all(chosen.map((revision) => checklistOf(this.pack, revision)))).filter(Boolean);
    this.scope = sets ? new Set(sets) : null;
    this.worked.clear();
    this.place = { order: "well", state: "static", ways: ["seen_close"], ...place };
    this.where = new Map(own.map((entry) => [entry.id, entry.state]));
    const entries = own.map((entry) => JSON.parse(entry.text));
    this.keepLooks([...(office || []), ...entries.filter((entry) => entry.kind === "look").map(asLook)]);
    for (const entry of entries) this.noteStop(entry);
    const note = () => walks.change(id, { id, house: this.house, title, checklists, line_sets: sets ?? null });
    if (kept) afterPaint(note);
    else await note(); // or it could not be found again without a connection
  }

  keepPlace(change) {
    if (Object.entries(change).every(([name, value]) => this.place[name] === value)) return;
    Object.assign(this.place, change);
    places.set(this.id, { ...this.place }).catch(() => {}); // on a full phone the walk goes on all the same
  }

  // What turns on pack, checklists and scope alone is worked out once; the same is asked for hundreds of rows.
  once(key, work) {
    if (!this.worked.has(key)) this.worked.set(key, work());
    return this.worked.get(key);
  }

  stops() {
    return this.checklists.flatMap((list) => list.stops.map((stop) => ({ list, stop })));
  }

  states(list, stop) {
    return this.once(`states/${list.revision}/${stop.id}`, () => statesOf(list, stop));
  }

  pointsHere(list, kind, pass) {
    const here = (point) => point.parts.includes(kind) && `${point.vantage}/${point.state}` === pass;
    return this.once(`points/${list.revision}/${kind}/${pass}`, () => pointsOf(list).filter(here));
  }

  fitting(list, kind, pass, ways) {
    const mine = RANK[this.pack.me.competence];
    return this.pointsHere(list, kind, pass).filter(
      (point) => TAPPED.has(point.method) && point.photo !== "always" && RANK[point.competence] <= mine && meets(point, ways),
    );
  }

  // Looks by part, without those that a later look takes back; asked for hundreds of rows at each tap.
  keepLooks(looks) {
    this.looks = looks;
    this.gone = new Set(looks.flatMap((look) => look.replaces || []));
    this.byPart = new Map();
    for (const look of looks) {
      if (!this.byPart.has(look.part)) this.byPart.set(look.part, []);
      this.byPart.get(look.part).push(look);
    }
  }

  standing(part) {
    return (this.byPart.get(part) || []).filter((look) => !this.gone.has(look.entry) && look.result !== "withdrawn");
  }

  answered(part) {
    return new Set(this.standing(part).flatMap((look) => (look.result === "not_reached" ? [] : look.points)));
  }

  left(list, part, pass, ways) {
    const done = this.answered(part);
    return this.fitting(list, this.pack.parts[part].kind, pass, ways).filter((point) => !done.has(point.id));
  }

  openFindings(part) {
    const said = new Set(this.standing(part).flatMap((look) => (look.findings || []).map((finding) => finding.of)));
    return (this.pack.parts[part].open || []).filter((finding) => !said.has(finding.finding));
  }

  // Parts of a row that wait here for a second look; what the first one found is not told.
  secondLooks(list, parts, pass) {
    const asked = (part) => this.pointsHere(list, this.pack.parts[part].kind, pass).map((point) => point.id);
    const here = (part) => (this.pack.second_looks?.[part] || []).some((one) => one.pass === pass && one.points.some((id) => asked(part).includes(id)));
    return parts.filter(here);
  }

  // What repeated measures of a part ask for, where one of these points measures it.
  lookAgain(points, part) {
    const asked = this.pack.look_again?.[part] || [];
    return asked.filter((one) => points.some((point) => point.measures.some((figure) => figure.quantity.replaceAll("_", " ") === one.quantity))).map((one) => one.words);
  }

  entry(kind, fields) {
    return (seq) => ({
      schema: SCHEMA,
      kind,
      id: uuid7(),
      house: this.house,
      walk: this.id,
      device: this.device.device,
      seq,
      recorded_at: new Date().toISOString(),
      tz: Intl.DateTimeFormat().resolvedOptions().timeZone,
      mono_ms: Math.round(performance.now()),
      app: document.documentElement.dataset.app || "",
      by: this.pack.me.id,
      with: [],
      called_by: this.place?.caller || null,
      ...fields,
    });
  }

  look(part, list, pass, fields) {
    const { life, tag } = this.pack.parts[part];
    return this.entry("look", {
      tap: uuid7(),
      part,
      life,
      tag_seen: tag,
      checklist: list.id,
      revision: list.revision,
      pass,
      points: [],
      result: "no_finding",
      ways: [...this.place.ways],
      reason: null,
      findings: [],
      measures: [],
      photos: [],
      note: "",
      replaces: [],
      adds_to: null,
      ...fields,
    });
  }

  // Saves what one tap made, all of it or nothing; resolves once it is on this phone for good.
  async save(...builds) {
    const made = await addEntries(this.house, this.device.device, builds);
    window.dispatchEvent(new CustomEvent("walk-saved", { detail: made.length }));
    for (const entry of made) {
      this.where.set(entry.id, "here");
      this.noteStop(entry);
    }
    this.keepLooks([...this.looks, ...made.filter((entry) => entry.kind === "look").map(asLook)]);
    return made;
  }

  noteStop(entry) {
    const raised = entry.kind === "stop" && !entry.of ? entry.line_set : null;
    const found = (entry.findings || []).some((finding) => finding.grade === "stop_use") ? this.placeOf(entry.part) : null;
    const held = entry.kind === "event" && entry.line_set ? this.heldWith(entry.line_set) : [];
    for (const place of [raised, found, ...held]) if (place) this.stopped.add(place);
  }

  // What is stopped and limited with a part: its set, or the part itself where it belongs to none.
  placeOf(part) {
    return this.pack.parts[part]?.line_set ?? part;
  }

  limitsAt(part) {
    const { line_set: set, area } = this.pack.parts[part];
    if (set) return this.sets.get(set)?.limits ?? [];
    return [part, area].flatMap((place) => this.pack.places?.limits[place] ?? []);
  }

  // The set that an event hit and two on each side, as the office holds them (domain/event.py).
  heldWith(set) {
    const order = this.pack.line_sets.map((one) => one.id);
    const at = order.indexOf(set);
    return at < 0 ? [] : order.slice(Math.max(at - 2, 0), at + 3);
  }

  // Looks that the office has from this and other phones; true when some were not known here.
  async merge(office) {
    const known = new Set(this.looks.map((look) => look.entry));
    const news = office.filter((look) => !known.has(look.entry));
    const own = new Set(this.where.keys());
    await walks.change(this.id, { office: office.filter((look) => !own.has(look.entry)) });
    if (news.length) this.keepLooks([...this.looks, ...news]);
    return news.length > 0;
  }
}

// A walk keeps the revision that it began with, also when the house has a newer one by now.
async function checklistOf(pack, revision) {
  const kept = pack.checklist ? await pack.checklist(revision) : pack.checklists.find((list) => list.revision === revision);
  return kept ?? (pack.older_checklists || []).find((list) => list.revision === revision);
}

function asLook({ id, part, pass, points, result, tap, replaces, findings, recorded_at }) {
  return { entry: id, part, pass, points, result, tap, replaces, findings, at: recorded_at };
}

export function meets(point, ways) {
  return MET_BY[point.way].some((way) => ways.includes(way));
}

function statesOf(list, stop) {
  const found = new Set();
  for (const point of pointsOf(list)) {
    if (point.vantage === stop.vantage && point.parts.some((kind) => stop.parts.includes(kind))) found.add(point.state);
  }
  return ["static", "isolated", "moving", "loaded"].filter((state) => found.has(state));
}

export function pointsOf(list) {
  return list.sections.flatMap((section) => section.points);
}

export function wearOf(list, point) {
  return list.sections.find((section) => section.points.some((other) => other.id === point.id))?.wear || {};
}

// A point's id without its component's name says in a word or two what it is about.
export function shortName(list, point) {
  const section = list.sections.find((one) => one.points.some((other) => other.id === point.id));
  const prefix = section?.component ? `${section.component}-` : "";
  return (point.id.startsWith(prefix) ? point.id.slice(prefix.length) : point.id).replaceAll("-", " ");
}

// The sets, and the parts of no set, that are out of use by what the office knows.
export function stoppedIn(pack) {
  return [...pack.line_sets.filter((set) => set.stopped).map((set) => set.id), ...(pack.places?.stopped ?? [])]; // a pack of an earlier version has no places
}
