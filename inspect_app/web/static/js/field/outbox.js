// The outbox: an entry is saved when its transaction has completed; it leaves only on the office's own word for it.

import { by, count, put, transact } from "./db.js";
import { first } from "./early.js";

const BALLAST = 4;
const MEGABYTE = 1 << 20;
const RANDOM_AT_ONCE = 65_536; // the most that getRandomValues gives

// Saves entries in one transaction with the device's counter. `builds` are functions from a number to an entry.
export async function addEntries(house, device, builds) {
  try {
    return await tryAdd(house, device, builds);
  } catch (error) {
    if (error?.name !== "QuotaExceededError") throw error;
    await dropBallast(); // kept for this moment: the entry goes in even when no photo would
    return tryAdd(house, device, builds);
  }
}

async function tryAdd(house, device, builds) {
  let made = [];
  let failure = null; // why the transaction was given up; its own error only says that it was
  const work = (t) => {
    const counter = t.objectStore("meta").get(`seq/${device}`);
    counter.onsuccess = () => {
      try {
        made = builds.map((build, n) => build((counter.result ?? 0) + n + 1));
        for (const entry of made) t.objectStore("entries").put(asRow(house, entry));
        t.objectStore("meta").put((counter.result ?? 0) + made.length, `seq/${device}`);
      } catch (error) {
        failure = error;
        t.abort();
      }
    };
  };
  try {
    await transact(["entries", "meta"], "readwrite", work);
  } catch (error) {
    throw failure ?? error;
  }
  return made;
}

function asRow(house, entry) {
  return {
    id: entry.id,
    house,
    walk: entry.walk,
    kind: entry.kind,
    part: entry.part ?? null,
    seq: entry.seq,
    state: "here",
    reason: "",
    text: JSON.stringify(entry), // frozen: sending again sends the same bytes, also from a newer page
  };
}

export const entriesOf = (walk) => first("entries", walk, () => by("entries", "walk", walk));
export const waiting = (house, most) => by("entries", "state", [house, "here"], most);

const counted = (states) => async (house) => {
  let asked = [];
  await transact(["entries", "photos"], "readonly", (t) => {
    asked = Object.entries(states).flatMap(([store, names]) => names.map((state) => t.objectStore(store).index("state").count([house, state])));
  });
  return asked.reduce((sum, request) => sum + request.result, 0);
};
// How much of a house will be sent, and how much the office cannot take as it is.
export const countWaiting = counted({ entries: ["here"], photos: ["raw", "here", "original"] });
export const countStuck = counted({ photos: ["stuck"] });

export function settle(verdicts) {
  return transact(["entries"], "readwrite", (t) => {
    const store = t.objectStore("entries");
    for (const { id, verdict, reason } of verdicts) {
      const request = store.get(id);
      request.onsuccess = () => {
        const state = verdict === "held" ? "held" : "office";
        if (request.result) store.put({ ...request.result, state, reason: reason || "" });
      };
    }
  });
}

// Some megabytes that stand by, for the moment when a phone is full and an entry must go in all the same. They are
// random, since a browser may compress what it keeps.
export async function fillBallast() {
  try {
    for (let n = 0; n < BALLAST; n += 1) {
      if ((await count("ballast", null, n)) === 0) await put("ballast", { n, bytes: randomMegabyte() });
    }
  } catch {
    // No room even for that: the space line of the readiness page says so.
  }
}

function randomMegabyte() {
  const bytes = new Uint8Array(MEGABYTE);
  for (let at = 0; at < MEGABYTE; at += RANDOM_AT_ONCE) crypto.getRandomValues(bytes.subarray(at, at + RANDOM_AT_ONCE));
  return bytes;
}

const dropBallast = () => transact(["ballast"], "readwrite", (t) => t.objectStore("ballast").clear());
