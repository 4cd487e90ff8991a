// The walk in hand: the pack, what has been recorded, and which points one tap answers here.

import { looksOf, made, nextSeq, place, queue } from "./memory.js";
import { uuid7 } from "./ids.js";

const MET_BY = {
  handled: ["handled"],
  seen_close: ["handled", "seen_close"],
  seen_from_afar: ["handled", "seen_close", "seen_from_afar"],
  heard: ["heard"],
};
const RANK = { trained: 0, competent: 1, qualified: 2 };
const TAPPED = new Set(["look", "feel", "listen"]);

export class Walk {
  constructor(house, device, pack) {
    Object.assign(this, { house, device, pack });
    this.sets = new Map(pack.line_sets.map((set) => [set.id, set]));
    this.keepLooks([]);
    this.stopped = new Set(pack.line_sets.filter((set) => set.stopped).map((set) => set.id));
  }

  open(id, title, checklists) {
    Object.assign(this, { id, title });
    this.keepLooks(looksOf.get(id));
    const chosen = new Map(checklists.map((item) => [item.id, item.revision]));
    this.checklists = this.pack.checklists.filter((list) => chosen.has(list.id));
    this.place = { order: "well", state: "static", ways: ["seen_close"], ...place.get(id) };
  }

  keepPlace(change) {
    Object.assign(this.place, change);
    place.set(this.id, this.place);
  }

  stops() {
    return this.checklists.flatMap((list) => list.stops.map((stop) => ({ list, stop })));
  }

  states(list, stop) {
    const found = new Set();
    for (const point of pointsOf(list)) {
      if (point.vantage === stop.vantage && point.parts.some((kind) => stop.parts.includes(kind))) found.add(point.state);
    }
    return ["static", "isolated", "moving", "loaded"].filter((state) => found.has(state));
  }

  pointsHere(list, kind, pass) {
    return pointsOf(list).filter((point) => point.parts.includes(kind) && `${point.vantage}/${point.state}` === pass);
  }

  fitting(list, kind, pass, ways) {
    const mine = RANK[this.pack.me.competence];
    return this.pointsHere(list, kind, pass).filter(
      (point) => TAPPED.has(point.method) && RANK[point.competence] <= mine && meets(point, ways),
    );
  }

  // Looks by part, without those that a later look takes back; asked for hundreds of rows at each tap.
  keepLooks(looks) {
    this.looks = looks;
    this.gone = new Set(looks.flatMap((look) => look.replaces || []));
    this.byPart = new Map();
    for (const look of looks) this.byPart.set(look.part, [...(this.byPart.get(look.part) || []), look]);
    if (this.id) looksOf.set(this.id, looks);
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

  entry(kind, fields) {
    return {
      schema: 1,
      kind,
      id: uuid7(),
      house: this.house,
      walk: this.id,
      device: this.device.device,
      seq: nextSeq(this.device.device),
      recorded_at: new Date().toISOString(),
      tz: Intl.DateTimeFormat().resolvedOptions().timeZone,
      mono_ms: Math.round(performance.now()),
      app: document.documentElement.dataset.app || "",
      by: this.pack.me.id,
      with: [],
      called_by: null,
      ...fields,
    };
  }

  look(part, list, pass, fields) {
    const { life, tag } = this.pack.parts[part];
    const entry = this.entry("look", {
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
    this.remember(entry);
    return entry;
  }

  remember(entry) {
    queue.add(this.house, entry.id, JSON.stringify(entry));
    made.add(this.id, entry.id, entry.seq);
    if (entry.kind !== "look") return;
    const { id, part, pass, points, result, tap, replaces, findings, recorded_at } = entry;
    this.keepLooks([...this.looks, { entry: id, part, pass, points, result, tap, replaces, findings, at: recorded_at }]);
  }

  merge(fromOffice) {
    const known = new Set(this.looks.map((look) => look.entry));
    this.keepLooks([...this.looks, ...fromOffice.filter((look) => !known.has(look.entry))]);
  }
}

export function meets(point, ways) {
  return MET_BY[point.way].some((way) => ways.includes(way));
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
