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

export const packs = {
  get: (house) => get("packs", house),
  set: (house, pack, etag) => put("packs", { house, pack, etag, kept_at: new Date().toISOString() }),
  keepsOriginals: async (house) => Boolean((await get("packs", house))?.pack.house.keep_originals),
  houses: () => transact(["packs"], "readonly", (t) => t.objectStore("packs").getAllKeys()),
};

// A walk as this phone knows it: its title, checklists and scope, where it stands on it, and looks that others sent.
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
