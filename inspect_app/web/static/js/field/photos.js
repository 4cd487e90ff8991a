// Photos: the raw bytes are committed first, then scaled in a worker, then sent one by one under their own ids.

import { by, get, transact } from "./db.js";
import { uuid7 } from "./ids.js";
import { later } from "./later.js";

const MOST_BYTES = 15_000_000;
const MOST_ORIGINAL_BYTES = 40_000_000;
const MOST_TAKEN = 60_000_000;
const OF_ONE_PHOTO = new Set([400, 422, 500]); // another photo may go through all the same
const LOWEST_RATE = 8_000; // bytes a second below which a connection is given up
const SCALE_SECONDS = 30;
let worker = null;

// Resolves with the photo's id once its bytes are on this phone for good. `about` says where it was taken.
export async function keepPhoto(house, file, about) {
  if (file.size > MOST_TAKEN) throw new Error("is too large to be kept; take it again.");
  const buffer = await file.arrayBuffer();
  const id = uuid7();
  const mime = file.type || "application/octet-stream";
  const facts = { id, house, state: "raw", mime, size: buffer.byteLength, name: file.name, taken: file.lastModified, about, why: "" };
  await transact(["photos", "bytes"], "readwrite", (t) => {
    t.objectStore("photos").put(facts);
    t.objectStore("bytes").put({ id, buffer, mime });
  });
  return id;
}

const photosIn = (house, state) => by("photos", "state", [house, state]);

// Scales what is still raw: after a photo was taken, and at the next start when the page was killed in between.
export async function scaleRaw(house, keepOriginals) {
  for (const photo of await photosIn(house, "raw")) {
    try {
      await keepScaled(photo, keepOriginals);
    } catch (error) {
      if (error?.name !== "QuotaExceededError") throw error;
      await transact(["photos"], "readwrite", (t) => t.objectStore("photos").put({ ...photo, state: "here" })); // no room for both: it goes as it is
    }
  }
}

// The picture that is sent under the photo's id; where the house keeps originals, the camera's bytes beside it.
async function keepScaled(photo, keepOriginals) {
  const { buffer, mime } = await get("bytes", photo.id);
  const scaled = await scale(photo.id, buffer, mime);
  const { readCaptureTime, withCaptureTime } = await later.exif();
  const out = scaled ? { buffer: withCaptureTime(scaled.buffer, readCaptureTime(buffer)), mime: "image/jpeg" } : { buffer, mime };
  const original = scaled && keepOriginals ? { id: `${photo.id}/original`, buffer, mime } : null;
  await transact(["photos", "bytes"], "readwrite", (t) => {
    const keep = (bytes, facts, most) => {
      const size = bytes.buffer.byteLength;
      const why = size > most ? `larger than ${most / 1e6} MB and cannot be made smaller here` : "";
      t.objectStore("bytes").put(bytes);
      t.objectStore("photos").put({ ...photo, ...facts, ...(why ? { state: "stuck" } : {}), why, size, mime: bytes.mime });
    };
    keep({ id: photo.id, ...out }, { state: "here" }, MOST_BYTES);
    if (original) keep(original, { id: original.id, of: photo.id, state: "original" }, MOST_ORIGINAL_BYTES);
  });
}

// Null when it cannot be scaled here (no worker, a kind that this browser does not read): then it goes as it is.
function scale(id, buffer, mime) {
  return new Promise((resolve) => {
    const finish = (result) => {
      clearTimeout(timer);
      worker?.removeEventListener("message", answer);
      worker?.removeEventListener("error", broken);
      resolve(result);
    };
    const answer = ({ data }) => data.id === id && finish(data.error ? null : data);
    const broken = () => {
      worker?.terminate();
      worker = null; // a worker that did not load would never answer the next one either
      finish(null);
    };
    const timer = setTimeout(broken, SCALE_SECONDS * 1000);
    try {
      worker ??= new Worker("/walk/scale.js"); // below /walk, so that it comes from the phone when there is no signal
    } catch {
      finish(null);
      return;
    }
    worker.addEventListener("message", answer);
    worker.addEventListener("error", broken);
    worker.postMessage({ id, buffer, mime });
  });
}

// The pictures first, since they can be read; originals, which are many times larger, when all of those are there.
export async function sendPhotos(house, token, tell) {
  let failure = null;
  for (const photo of [...(await photosIn(house, "here")), ...(await photosIn(house, "original"))]) {
    const bytes = await get("bytes", photo.id);
    const { status, said } = await putPhoto(token, photo, bytes);
    if ((status === 201 || status === 200) && said.id === (photo.of ?? photo.id)) await settlePhoto(photo, "office", said.reason || "");
    else if (status === 413 || status === 415) await settlePhoto(photo, "stuck", said.message || "the office cannot take it");
    else {
      failure ??= Object.assign(new Error(said.message || "The office did not keep a photo. It is kept here."), { status });
      if (!OF_ONE_PHOTO.has(status)) break;
    }
    tell();
  }
  if (failure) throw failure;
}

async function putPhoto(token, photo, { buffer, mime }) {
  const headers = { Authorization: `Bearer ${token}`, "Content-Type": mime };
  if (crypto.subtle) {
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", buffer));
    headers["Content-Digest"] = `sha-256=:${btoa(String.fromCharCode(...digest))}:`;
  }
  const abort = new AbortController();
  const timer = setTimeout(() => abort.abort(), 30_000 + (buffer.byteLength / LOWEST_RATE) * 1000);
  try {
    const options = { method: "PUT", body: buffer, headers, credentials: "omit", redirect: "error", cache: "no-store", signal: abort.signal };
    const answer = await fetch(`/api/v1/${photo.kind === "recording" ? "recordings" : "photos"}/${photo.id}`, options);
    const isJson = (answer.headers.get("content-type") || "").startsWith("application/json");
    return { status: isJson ? answer.status : 0, said: isJson ? await answer.json() : { message: "This network did not let the office answer." } };
  } catch {
    return { status: 0, said: { message: "No connection to the office. All is kept here." } };
  } finally {
    clearTimeout(timer);
  }
}

function settlePhoto(photo, state, why) {
  return transact(["photos", "bytes"], "readwrite", (t) => {
    t.objectStore("photos").put({ ...photo, state, why });
    if (state === "office") t.objectStore("bytes").delete(photo.id);
  });
}

// Photos and voice notes that no entry names: taken just before the page was killed.
export async function loosePhotos(house, walkEntries) {
  const used = new Set(walkEntries.map((entry) => JSON.parse(entry.text)).flatMap(({ photos = [], recordings = [] }) => [...photos, ...recordings]));
  const kept = [...(await photosIn(house, "raw")), ...(await photosIn(house, "here")), ...(await photosIn(house, "office"))];
  return kept.filter((photo) => !photo.of && !used.has(photo.id) && !photo.about?.done);
}
