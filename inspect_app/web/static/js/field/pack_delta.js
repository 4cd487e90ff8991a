// What has changed in a pack, put over the one on this phone, and the ETag of what comes out (output/pack_delta.py).

import { sha256 } from "./sha256.js";

const HEAD = ["schema", "made_at", "last_seq"]; // turn on the time and the device, and are no sections
const LETTERS = 12; // of each digest

// The pack as it is now, or null when it is not, to the letter, the one that the office named.
export async function applyDelta(pack, etag, delta) {
  if (delta.since !== bare(etag)) return null;
  const { schema, made_at: madeAt, last_seq: lastSeq } = delta;
  const now = { ...pack, ...delta.changed, schema, made_at: madeAt, last_seq: lastSeq };
  return (await etagOf(now)) === delta.etag ? now : null;
}

export async function etagOf(pack) {
  const names = Object.keys(pack).filter((name) => !HEAD.includes(name));
  const texts = [`[${names.map((name) => JSON.stringify(name)).join(", ")}]`, ...names.map((name) => JSON.stringify(pack[name]))];
  return (await Promise.all(texts.map(digest))).join(".");
}

const bare = (etag) => etag.replace(/^W\//, "").replaceAll('"', "");

async function digest(text) {
  if (!crypto.subtle) return sha256(text).slice(0, LETTERS);
  const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text)));
  return [...bytes.subarray(0, LETTERS / 2)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
