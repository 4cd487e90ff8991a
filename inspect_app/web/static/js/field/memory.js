// What this phone remembers of houses and walks: pairing, pack, the place on the walk, drafts.

import { all, drop, get, put, transact } from "./db.js";
import { first } from "./early.js";

export const pairing = {
  get: (house) => first("meta", `device/${house}`),
  // The id outlives the pairing, so that a phone that is paired again goes on counting where it was.
  set: async (house, value) => {
    await put("meta", value.device, `was/${house}`);
    await put("meta", value, `device/${house}`);
  },
  was: (house) => get("meta", `was/${house}`),
  lastSeq: async (device) => (await get("meta", `seq/${device}`)) ?? 0,
  forget: (house) => drop("meta", `device/${house}`),
};

const encoder = new TextEncoder();
const written = (value) => encoder.encode(JSON.stringify(value));
const readFrom = (bytes) => JSON.parse(new TextDecoder().decode(bytes));
const BULK = ["checklists", "limits", "not_judged"]; // nearly all of a pack
const listKey = (house, revision = "") => `pack-list/${house}/${revision}`;
const listKeys = (house) => IDBKeyRange.bound(listKey(house), listKey(house, "\uffff"));

// A pack is kept section by section as JSON in bytes, and read when it is asked for: a slow phone would be busy with the
// whole of it before anything is to be seen. Of parts and screens it reads the few that are shown. Await `whole()` of a
// kept pack before its BULK is read; a single checklist is had by `await checklist(revision)`.
export const packs = {
  get: async (house) => {
    const kept = await first("packs", house);
    if (!kept?.sections && !kept?.texts && !kept?.pack) return undefined; // nothing, or of a newer page: fetched anew
    return { ...kept, pack: kept.sections ? unfolded(kept) : await ofEarlierPage(kept) };
  },
  set: (house, pack, etag) => {
    const { name, keep_originals: keepOriginals } = pack.house;
    const sections = Object.entries(pack).map(([section, value]) => [section, kept(section, value)]); // in their order
    const lists = pack.checklists.map((list) => list.revision);
    return transact(["packs", "meta"], "readwrite", (t) => {
      const meta = t.objectStore("meta");
      meta.delete(listKeys(house));
      for (const list of pack.checklists) meta.put(keptList(list), listKey(house, list.revision));
      meta.put({ limits: written(pack.limits), not_judged: written(pack.not_judged) }, `pack-bulk/${house}`);
      t.objectStore("packs").put({ house, name, keepOriginals, etag, sections, lists, kept_at: new Date().toISOString() });
    });
  },
  // What is here is what the office has now.
  confirm: (house) =>
    transact(["packs"], "readwrite", (t) => {
      const store = t.objectStore("packs");
      const request = store.get(house);
      request.onsuccess = () => request.result && store.put({ ...request.result, kept_at: new Date().toISOString() });
    }),
  all: () => all("packs"),
  houses: () => transact(["packs"], "readonly", (t) => t.objectStore("packs").getAllKeys()),
};

function kept(section, value) {
  if (BULK.includes(section)) return null;
  return section === "parts" ? keptParts(value) : written(value);
}

// The JSON of all parts as bytes, and where in it the value of each begins and ends.
function keptParts(parts) {
  const ids = Object.keys(parts);
  const at = new Uint32Array(2 * ids.length);
  const pieces = ids.flatMap((id, n) => [encoder.encode(`${n ? "," : "{"}${JSON.stringify(id)}:`), written(parts[id])]);
  const bytes = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, ids.length ? 1 : 2));
  let end = 0;
  pieces.forEach((piece, n) => {
    bytes.set(piece, end);
    end += piece.length;
    at[n] = end; // of a key, where its value begins; of a value, where it ends
  });
  bytes.set(encoder.encode(ids.length ? "}" : "{}"), end);
  return { ids, at, bytes };
}

// The text of a checklist without its screens, and each screen's beside it.
function keptList(list) {
  const orders = (screens) => Object.fromEntries(Object.entries(screens).map(([order, rows]) => [order, written(rows)]));
  const screens = Object.fromEntries(Object.entries(list.screens).map(([stop, one]) => [stop, orders(one)]));
  return { text: written({ ...list, screens: null }), screens };
}

// A property that is read when it is first asked for.
function fold(target, name, read) {
  const is = (what) => Object.defineProperty(target, name, { configurable: true, enumerable: true, ...what });
  is({
    get: () => {
      const value = read();
      is({ value, writable: true });
      return value;
    },
  });
}

const FEW = 64; // parts that are read one by one; whoever asks for more is quicker with all at once

function partsFrom({ ids, at, bytes }) {
  const few = {};
  let all = null;
  let left = FEW;
  const whole = () => {
    all ??= Object.assign(readFrom(bytes), few);
    return all;
  };
  const one = (id) => {
    if (all) return all[id];
    if (Object.hasOwn(few, id)) return few[id];
    const n = ids.indexOf(id);
    if (n < 0) return undefined;
    left -= 1;
    if (left < 0) return whole()[id];
    few[id] = readFrom(bytes.subarray(at[2 * n], at[2 * n + 1]));
    return few[id];
  };
  return new Proxy({}, {
    get: (_, id) => one(id),
    has: (_, id) => id in whole(),
    ownKeys: () => Reflect.ownKeys(whole()),
    getOwnPropertyDescriptor: (_, id) => Reflect.getOwnPropertyDescriptor(whole(), id),
  });
}

function listFrom({ text, screens }) {
  const list = readFrom(text);
  list.screens = {};
  for (const [stop, orders] of Object.entries(screens)) {
    list.screens[stop] = {};
    for (const [order, rows] of Object.entries(orders)) fold(list.screens[stop], order, () => readFrom(rows));
  }
  return list;
}

// What an earlier page kept as plain bytes is read as well.
const plain = (found, read) => (found instanceof Uint8Array ? readFrom(found) : read(found));

function unfolded({ house, sections, lists }) {
  const pack = {};
  for (const [section, found] of sections) fold(pack, section, () => (found ? plain(found, partsFrom) : {}));
  const asked = new Map(); // each checklist is one object, however it was asked for
  const here = new Map(); // what is kept of all, once the whole was read
  const one = (revision, found) => {
    if (found && !asked.has(revision)) asked.set(revision, plain(found, listFrom));
    return asked.get(revision);
  };
  const checklist = async (revision) => {
    if (asked.has(revision)) return asked.get(revision);
    return one(revision, here.get(revision) ?? (await first("meta", listKey(house, revision))));
  };
  const readWhole = async () => {
    const found = new Map();
    const keys = [`pack-bulk/${house}`, ...lists.map((revision) => listKey(house, revision))];
    await transact(["meta"], "readonly", (t) => {
      for (const key of keys) {
        const request = t.objectStore("meta").get(key);
        request.onsuccess = () => found.set(key, request.result);
      }
    });
    const [bulk, ...texts] = keys.map((key) => found.get(key));
    if (!bulk || texts.includes(undefined)) throw new Error("Another page on this phone has just taken up a newer pack. Reload this page; nothing recorded is lost.");
    for (const section of ["limits", "not_judged"]) fold(pack, section, () => readFrom(bulk[section]));
    lists.forEach((revision, n) => here.set(revision, texts[n]));
    fold(pack, "checklists", () => lists.map((revision) => one(revision, here.get(revision))));
  };
  let read = null;
  const whole = () => {
    read ??= readWhole().catch((error) => {
      read = null; // to be tried again
      throw error;
    });
    return read;
  };
  return Object.defineProperties(pack, { whole: { value: whole }, checklist: { value: checklist } }); // no sections, so not listed as such
}

// What an earlier page kept is read to the end of its days: a phone may have been updated where there is no connection.
// It was kept as one object, or as texts with the bulk beside them; the next pack from the office takes its place.
async function ofEarlierPage({ house, pack, texts, lists }) {
  if (!texts) return pack;
  const read = Object.fromEntries(Object.entries(texts).map(([section, text]) => [section, text ? JSON.parse(text) : {}]));
  const bulk = (await get("meta", `pack-bulk/${house}`)) || {};
  for (const [section, text] of Object.entries(bulk)) if (typeof text === "string") read[section] = JSON.parse(text);
  return { ...read, checklists: lists.map(([, text]) => JSON.parse(text)) };
}

// A walk as this phone knows it: its title, checklists and scope, and looks that others sent.
export const walks = {
  get: (id) => first("walks", id),
  all: async (house) => (await all("walks")).filter((walk) => walk.house === house),
  change: (id, change) =>
    transact(["walks"], "readwrite", (t) => {
      const store = t.objectStore("walks");
      const request = store.get(id);
      request.onsuccess = () => store.put({ ...(request.result ?? { id }), ...change });
    }),
};

// Where somebody stands on a walk: a comfort and no record. Written in one go, nothing read before, so that it is on its
// way when the page is closed the next moment.
export const places = {
  get: async (walk) => (await first("drafts", `place/${walk}`))?.values,
  set: (walk, values) =>
    transact(
      ["drafts"],
      "readwrite",
      (t) => {
        t.objectStore("drafts").put({ key: `place/${walk}`, values });
        t.commit?.();
      },
      "relaxed",
    ),
};

export const drafts = {
  get: (key) => get("drafts", key),
  set: (key, values) => put("drafts", { key, values }),
  drop: (key) => drop("drafts", key),
};

// The counter never goes back below what the office has seen from this device.
export function raiseSeq(device, least) {
  return transact(["meta"], "readwrite", (t) => {
    const store = t.objectStore("meta");
    const request = store.get(`seq/${device}`);
    request.onsuccess = () => {
      if ((request.result ?? 0) < least) store.put(least, `seq/${device}`);
    };
  });
}
