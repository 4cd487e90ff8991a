// What this phone remembers of houses and walks: pairing, pack, the place on the walk, drafts.

import { all, drop, get, put, transact } from "./db.js";

export const pairing = {
  get: (house) => get("meta", `device/${house}`),
  // The id outlives the pairing, so that a phone that is paired again goes on counting where it was.
  set: async (house, value) => {
    await put("meta", value.device, `was/${house}`);
    await put("meta", value, `device/${house}`);
  },
  was: (house) => get("meta", `was/${house}`),
  lastSeq: async (device) => (await get("meta", `seq/${device}`)) ?? 0,
  forget: (house) => drop("meta", `device/${house}`),
};

const BULK = ["limits", "not_judged"]; // nearly half of a pack, and asked for by the sheet of a point alone

// A pack is kept section by section as text, and read section by section when it is asked for: a slow phone would be
// busy with the whole of it before anything is to be seen. Await `whole()` of a kept pack before its BULK is read, and
// take a single checklist by `checklist(revision)`.
let early = null;

export const packs = {
  // Begins to read; the next `asked` takes what was begun. Read again after that, since it may have changed.
  ask: (house) => {
    early = { house, reading: packs.get(house) };
    early.reading.catch(() => {}); // told to whoever asks
  },
  asked: (house) => {
    const reading = early?.house === house ? early.reading : packs.get(house);
    early = null;
    return reading;
  },
  get: async (house) => {
    const kept = await get("packs", house);
    return kept && { ...kept, pack: unfolded(kept) };
  },
  set: (house, pack, etag) => {
    const { name, keep_originals: keepOriginals } = pack.house;
    const texts = Object.fromEntries(Object.entries(pack).map(([section, value]) => [section, JSON.stringify(value)]));
    const bulk = Object.fromEntries(BULK.map((section) => [section, texts[section]]));
    const lists = pack.checklists.map((list) => [list.revision, JSON.stringify(list)]); // a walk needs one or two of them
    for (const section of [...BULK, "checklists"]) texts[section] = ""; // keeps its place in the order
    return transact(["packs", "meta"], "readwrite", (t) => {
      t.objectStore("meta").put(bulk, `pack-bulk/${house}`);
      t.objectStore("packs").put({ house, name, keepOriginals, etag, texts, lists, kept_at: new Date().toISOString() });
    });
  },
  // What is here is what the office has now.
  confirm: async (house) => put("packs", { ...(await get("packs", house)), kept_at: new Date().toISOString() }),
  all: () => all("packs"),
  houses: () => transact(["packs"], "readonly", (t) => t.objectStore("packs").getAllKeys()),
};

function unfolded({ house, texts, lists }) {
  const pack = {};
  const fold = (section, read) => {
    const is = (what) => Object.defineProperty(pack, section, { configurable: true, enumerable: true, ...what });
    is({
      get: () => {
        const value = read();
        is({ value, writable: true });
        return value;
      },
    });
  };
  for (const [section, text] of Object.entries(texts)) fold(section, () => JSON.parse(text || "{}"));
  const one = new Map();
  const list = (revision, text) => {
    if (!one.has(revision)) one.set(revision, JSON.parse(text));
    return one.get(revision);
  };
  fold("checklists", () => lists.map(([revision, text]) => list(revision, text)));
  const checklist = (wanted) => lists.filter(([revision]) => revision === wanted).map(([revision, text]) => list(revision, text))[0];
  let read = null;
  const whole = () => {
    read ??= get("meta", `pack-bulk/${house}`).then((bulk) => {
      for (const section of BULK) if (bulk?.[section]) fold(section, () => JSON.parse(bulk[section]));
    });
    return read;
  };
  return Object.defineProperties(pack, { whole: { value: whole }, checklist: { value: checklist } }); // no sections, so not listed as such
}

// A walk as this phone knows it: its title, checklists and scope, and looks that others sent.
export const walks = {
  get: (id) => get("walks", id),
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
  get: async (walk) => (await get("drafts", `place/${walk}`))?.values,
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
