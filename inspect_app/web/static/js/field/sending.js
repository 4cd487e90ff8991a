// Sends what waits: entries in batches, then photos one by one; by itself, again after a failure, and by hand.

import { call } from "./api.js";
import { pairing } from "./memory.js";
import { countWaiting, settle, waiting } from "./outbox.js";
import { scaleRaw, sendPhotos } from "./photos.js";

const BATCH = 50;
const SPLITS = new Set([400, 413, 500]); // one entry may be what the office chokes on: find it, send the others
let running = null;
let again = false;
let wait = 2;
let timer = 0;
const listeners = new Set();

export const onSending = (listener) => listeners.add(listener);

async function tell(house, event = {}) {
  const left = await countWaiting(house);
  for (const listener of listeners) listener({ left, ...event });
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
  try {
    await scaleRaw(house, keepOriginals);
    await tell(house, { sending: true });
    const stuck = new Set();
    for (let batch = await next(house, stuck); batch.length; batch = await next(house, stuck)) {
      await sendBatch(house, token, batch, stuck);
    }
    await sendPhotos(house, token, () => tell(house, { sending: true }));
    wait = 2;
    await tell(house, { stuck: stuck.size, done: true });
  } catch (error) {
    await tell(house, { error });
    if (error.status !== 401) timer = setTimeout(() => send(house, token, keepOriginals), wait * 1000);
    wait = Math.min(wait * 2, 300);
  }
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
    for (const entry of batch) if (!named.has(entry.id)) stuck.add(entry.id);
    await tell(house, { verdicts, sending: true });
  } catch (error) {
    if (!SPLITS.has(error.status)) throw error;
    if (batch.length === 1) {
      stuck.add(batch[0].id);
      return;
    }
    const half = Math.ceil(batch.length / 2);
    await sendBatch(house, token, batch.slice(0, half), stuck);
    await sendBatch(house, token, batch.slice(half), stuck);
  }
}
