// The house in hand: pairing this phone with it, and its pack, asked for again only when it has changed.

import { call, pair, pairByCode } from "./api.js";
import { packs, pairing, raiseSeq } from "./memory.js";

// Without a house in the address: the only one this phone knows.
export async function houseInHand() {
  const known = await packs.houses();
  return known.length === 1 ? known[0] : null;
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
  navigator.storage?.persist?.().catch(() => {}); // asked, never waited for: some browsers leave the question open
  return device;
}

export async function fetchPack(house, device) {
  const kept = await packs.get(house);
  const headers = kept?.etag ? { "If-None-Match": kept.etag } : {};
  const answer = await call(`/api/v1/houses/${house}/pack`, { token: device.token, headers, whole: true });
  const pack = answer.status === 304 ? kept.pack : answer.data;
  await packs.set(house, pack, answer.etag || kept?.etag || "");
  await raiseSeq(device.device, pack.last_seq || 0);
  return { pack, changed: answer.status !== 304 };
}
