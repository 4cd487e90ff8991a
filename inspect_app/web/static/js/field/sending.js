// Sends what waits: entries in batches, then photos one by one; by itself, again after a failure, and by hand.

import { call } from "./api.js";
import { packs, pairing } from "./memory.js";
import { countStuck, countWaiting, settle, waiting } from "./outbox.js";
import { scaleRaw, sendPhotos } from "./photos.js";

const BATCH = 50;
const SPLITS = new Set([400, 413, 500]); // one entry may be what the office chokes on: find it, send the others
let running = null;
let again = false;
let wait = 2;
let timer = 0;
const listeners = new Set();

export const onSending = (listener) => listeners.add(listener);

let saves = 0;
window.addEventListener("walk-saved", () => {
  saves += 1;
});

// What is not yet in the office, of every house on this phone; `stuck` of it needs a person's help. Counted again when
// something was saved meanwhile: an older count must not take back what the bar has said of it.
export async function unsent() {
  for (;;) {
    const before = saves;
    let left = 0;
    let stuck = 0;
    for (const house of await packs.houses()) {
      const help = await countStuck(house);
      left += (await countWaiting(house)) + help;
      stuck += help;
    }
    if (saves === before) return { left, stuck };
  }
}

async function tell(event = {}) {
  const { left, stuck } = await unsent();
  for (const listener of listeners) listener({ left, ...event, stuck: stuck + (event.stuck ?? 0) });
}

export function send(house, token, keepOriginals = false) {
  again = Boolean(running);
  running ??= sendAll(house, token, keepOriginals).finally(() => {
    running = null;
    if (again) send(house, token, keepOriginals);
  });
  return running;
}

async function sendAll(house, token, keepOriginals) {
  clearTimeout(timer);
  again = false;
  const stuck = new Map(); // entries that the office did not take this time, each with what it said
  let failure = null;
  for (const one of [{ house, token, keepOriginals }, ...(await otherHouses(house))]) {
    try {
      await sendHouse(one, stuck);
    } catch (error) {
      failure ??= error;
      if (!error.status) break; // no connection for one is none for the others
    }
  }
  const [refused] = stuck.values();
  await tell(failure ? { error: failure } : { stuck: stuck.size, refused, done: true });
  if (!failure && !stuck.size) wait = 2;
  else if (failure?.status !== 401) {
    timer = setTimeout(() => send(house, token, keepOriginals), wait * 1000);
    wait = Math.min(wait * 2, 300);
  }
}

async function sendHouse({ house, token, keepOriginals }, stuck) {
  await scaleRaw(house, keepOriginals);
  await tell({ sending: true });
  for (let batch = await next(house, stuck); batch.length; batch = await next(house, stuck)) {
    await sendBatch(house, token, batch, stuck);
  }
  await sendPhotos(house, token, () => tell({ sending: true }));
}

// A phone may have walked in more than one house: what it owes the others is sent along.
async function otherHouses(house) {
  const found = [];
  const others = (await packs.houses()).filter((one) => one !== house);
  if (!others.length) return found;
  for (const { house: other, keepOriginals } of await packs.all()) {
    const device = other === house || !(await countWaiting(other)) ? null : await pairing.get(other);
    if (device) found.push({ house: other, token: device.token, keepOriginals });
  }
  return found;
}

async function next(house, stuck) {
  const found = await waiting(house, BATCH + stuck.size);
  return found.filter((entry) => !stuck.has(entry.id)).slice(0, BATCH);
}

async function sendBatch(house, token, batch, stuck) {
  try {
    const device = await pairing.get(house);
    const last = device ? await pairing.lastSeq(device.device) : 0; // so that the office knows what it has not seen
    const body = `{"sent_at":"${new Date().toISOString()}","last_seq":${last},"entries":[${batch.map((entry) => entry.text).join(",")}]}`;
    const headers = { "Content-Type": "application/json" };
    const answer = await call("/api/v1/entries", { token, method: "POST", headers, body });
    const asked = new Set(batch.map((entry) => entry.id));
    const verdicts = (answer.verdicts || []).filter((one) => asked.has(one.id) && ["stored", "duplicate", "held"].includes(one.verdict));
    await settle(verdicts);
    const named = new Set(verdicts.map((one) => one.id));
    for (const entry of batch) if (!named.has(entry.id)) stuck.set(entry.id, "The office did not say that it has them.");
    await tell({ verdicts, sending: true });
  } catch (error) {
    if (!SPLITS.has(error.status)) throw error;
    if (batch.length === 1) {
      stuck.set(batch[0].id, error.message);
      return;
    }
    const half = Math.ceil(batch.length / 2);
    await sendBatch(house, token, batch.slice(0, half), stuck);
    await sendBatch(house, token, batch.slice(half), stuck);
  }
}
