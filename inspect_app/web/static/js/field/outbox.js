// The outbox: an entry is saved when its transaction has completed; it leaves only on the office's own word for it.

import { by, count, put, transact } from "./db.js";

const BALLAST = 4;
const MEGABYTE = 1 << 20;

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

export const entriesOf = (walk) => by("entries", "walk", walk);
export const waiting = (house, most) => by("entries", "state", [house, "here"], most);
export const countWaiting = async (house) =>
  (await count("entries", "state", [house, "here"])) +
  (await count("photos", "state", [house, "raw"])) +
  (await count("photos", "state", [house, "here"]));

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

export async function fillBallast() {
  try {
    for (let n = 0; n < BALLAST; n += 1) await put("ballast", { n, bytes: crypto.getRandomValues(new Uint8Array(65536)), pad: new ArrayBuffer(MEGABYTE) });
  } catch {
    // No room even for that: the space line of the readiness page says so.
  }
}

const dropBallast = () => transact(["ballast"], "readwrite", (t) => t.objectStore("ballast").clear());
