// Sends what is queued: a batch at a time, by itself and again after a failure; an entry leaves only on its own verdict.

import { call } from "./api.js";
import { queue } from "./memory.js";

const BATCH = 100;
let running = null;
let wait = 2;
let timer = 0;
const listeners = new Set();

export function onSending(listener) {
  listeners.add(listener);
}

function tell(event) {
  for (const listener of listeners) listener(event);
}

export function send(house, token) {
  running ??= sendAll(house, token).finally(() => {
    running = null;
  });
  return running;
}

async function sendAll(house, token) {
  clearTimeout(timer);
  try {
    for (let batch = queue.all(house).slice(0, BATCH); batch.length; batch = queue.all(house).slice(0, BATCH)) {
      const body = `{"sent_at":"${new Date().toISOString()}","entries":[${batch.map((item) => item.text).join(",")}]}`;
      const answer = await call("/api/v1/entries", {
        token,
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body,
      });
      const named = new Set(batch.map((item) => item.id));
      const verdicts = answer.verdicts.filter((verdict) => named.has(verdict.id));
      if (!verdicts.length) throw new Error("The office named none of the entries.");
      queue.drop(house, verdicts.map((verdict) => verdict.id));
      tell({ verdicts, left: queue.all(house).length });
    }
    wait = 2;
    tell({ left: queue.all(house).length });
  } catch (error) {
    tell({ error, left: queue.all(house).length });
    timer = setTimeout(() => send(house, token), wait * 1000);
    wait = Math.min(wait * 2, 60);
  }
}
