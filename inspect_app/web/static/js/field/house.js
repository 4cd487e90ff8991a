// The house in hand: pairing this phone with it, and its pack, asked for again only when it has changed.

import { call, pair, pairByCode } from "./api.js";
import { later } from "./later.js";
import { packs, pairing, raiseSeq } from "./memory.js";
import { countWaiting } from "./outbox.js";
import { askToKeep } from "./room.js";

// Every house that this phone has a pack of: [{house, name, keptAt, left}], `left` being what the office has not got.
export async function housesHere() {
  const found = [];
  for (const { house, name, kept_at: keptAt } of await packs.all()) {
    found.push({ house, name, keptAt, left: await countWaiting(house) });
  }
  return found.sort((a, b) => a.name.localeCompare(b.name));
}

export async function pairHere(house) {
  return keepPairing(await pair(house, await pairing.was(house)));
}

export async function pairWithCode(code, house) {
  return keepPairing(await pairByCode(code, house ? await pairing.was(house) : undefined));
}

async function keepPairing(device) {
  await pairing.set(device.house, device);
  await raiseSeq(device.device, device.last_seq || 0);
  askToKeep();
  return device;
}

// Only what has changed is sent where that is known; what does not come out exact is fetched whole.
export async function fetchPack(house, device) {
  let kept = await packs.get(house);
  await kept?.pack.whole?.().catch(() => (kept = undefined)); // not whole: all of it is fetched
  const headers = kept?.etag ? { "If-None-Match": kept.etag } : {};
  const ask = (since, asked) => call(`/api/v1/houses/${house}/pack${since}`, { token: device.token, headers: asked, whole: true });
  let answer = await ask(kept?.etag ? `?since=${encodeURIComponent(kept.etag)}` : "", headers);
  let pack = answer.status === 304 ? kept.pack : answer.data;
  if (pack.since !== undefined) {
    const { applyDelta } = await later.packDelta();
    pack = await applyDelta(kept.pack, kept.etag, pack);
    if (!pack) {
      answer = await ask("", {});
      pack = answer.data;
    }
  }
  try {
    if (answer.status === 304) await packs.confirm(house);
    else await packs.set(house, pack, answer.etag || "");
  } catch (error) {
    // On a full phone the older one stays; what the new one says of stops acts all the same.
    if (!kept || error?.name !== "QuotaExceededError") throw error;
  }
  await raiseSeq(device.device, pack.last_seq || 0);
  return { pack, changed: answer.status !== 304 };
}
