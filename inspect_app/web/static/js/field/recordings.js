// Voice notes on this phone: kept like photos, in the same stores, and written again with each piece that comes in.

import { by, get, transact } from "./db.js";
import { uuid7 } from "./ids.js";

const LOCK = "voice-note/";

// From the first second a row of its own; what a crash leaves of it is found again at the next start.
export async function beginRecording(house, mime, about) {
  const id = uuid7();
  const facts = { id, house, kind: "recording", state: "recording", mime, size: 0, name: "", taken: Date.now(), about, why: "" };
  await transact(["photos"], "readwrite", (t) => t.objectStore("photos").put(facts));
  let done;
  const until = new Promise((resolve) => {
    done = resolve;
  });
  navigator.locks?.request(LOCK + id, () => until); // says to other pages of this phone that it is still being spoken
  return { id, release: done };
}

export async function growRecording(id, pieces) {
  const buffer = await new Blob(pieces).arrayBuffer();
  await change(id, (row) => ({ ...row, size: buffer.byteLength }), { id, buffer });
}

// Ready to be sent; one without a byte is no voice note and is dropped. Resolves with whether it was kept.
export async function endRecording(id) {
  const row = await change(id, (one) => ({ ...one, state: "here" }));
  if (row?.size) return true;
  await transact(["photos", "bytes"], "readwrite", (t) => {
    t.objectStore("photos").delete(id);
    t.objectStore("bytes").delete(id);
  });
  return false;
}

async function change(id, changed, bytes) {
  const row = await get("photos", id);
  if (row?.state !== "recording") return row;
  const after = changed(row);
  await transact(["photos", "bytes"], "readwrite", (t) => {
    t.objectStore("photos").put(after);
    if (bytes) t.objectStore("bytes").put({ ...bytes, mime: row.mime });
  });
  return after;
}

// What a crash or a dead battery cut short is a voice note as far as it goes.
export async function rescueRecordings(house) {
  const held = (await navigator.locks?.query())?.held ?? [];
  const spoken = new Set(held.map((lock) => lock.name));
  for (const row of await by("photos", "state", [house, "recording"])) {
    if (!spoken.has(LOCK + row.id)) await endRecording(row.id);
  }
}
