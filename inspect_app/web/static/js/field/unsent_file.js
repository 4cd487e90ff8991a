// The file of what the office does not have, in parts small enough to be brought in; each part is whole by itself.

import { all, get } from "./db.js";

const FORMAT = "inspect-log/unsent/1";
const MOST_BYTES = 55_000_000; // of one part; the office takes 64 MB, and base64 makes 4 bytes of 3
const BASE64 = 4 / 3;
const CHUNK = 49_152; // bytes turned into text at once; a multiple of 3, so that the pieces join

// What goes into which part: [{entries: [row], photos: [row], bytes}], at least one part.
export async function planParts(house, most = MOST_BYTES) {
  const mine = async (store) => (await all(store)).filter((row) => row.house === house && row.state !== "office");
  const parts = [{ entries: [], photos: [], bytes: 0 }];
  const put = (list, row, size) => {
    if (parts.at(-1).bytes + size > most && parts.at(-1).bytes) parts.push({ entries: [], photos: [], bytes: 0 });
    parts.at(-1)[list].push(row);
    parts.at(-1).bytes += size;
  };
  for (const entry of await mine("entries")) put("entries", entry, entry.text.length * 1.1 + 10);
  for (const photo of await mine("photos")) put("photos", photo, Math.ceil(photo.size * BASE64) + 300);
  return parts;
}

export const partName = (at, n, of) => `unsent-${at.slice(0, 16).replaceAll(":", "")}${of > 1 ? `-part-${n}-of-${of}` : ""}.json`;

// One part as a Blob. Its pieces are handed over one photo at a time, so that no text of the whole is ever made.
export async function makePart({ house, device, at, part, n, of }, tell) {
  const head = { format: FORMAT, house, device, made_at: at, part: n, parts: of };
  const pieces = [`${JSON.stringify(head).slice(0, -1)},"entries":${JSON.stringify(part.entries.map((entry) => entry.text))},"photos":[`];
  let kept = 0;
  for (const photo of part.photos) {
    const bytes = await get("bytes", photo.id);
    if (!bytes) continue; // sent meanwhile
    const facts = { id: photo.of ?? photo.id, ...(photo.of ? { original: true } : {}), ...(photo.kind ? { kind: photo.kind } : {}), sha256: "", mime: bytes.mime };
    pieces.push(new Blob([`${kept ? "," : ""}${JSON.stringify(facts).slice(0, -1)},"data":"`, ...base64(bytes.buffer), '"}']));
    kept += 1;
    tell(kept, part.photos.length);
  }
  return { blob: new Blob([...pieces, "]}"], { type: "application/json" }), entries: part.entries.length, photos: kept };
}

function* base64(buffer) {
  const bytes = new Uint8Array(buffer);
  for (let at = 0; at < bytes.length; at += CHUNK) {
    yield btoa(String.fromCharCode(...bytes.subarray(at, at + CHUNK)));
  }
}
