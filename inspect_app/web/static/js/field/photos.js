// Photos: the raw bytes are committed first, then scaled in a worker, then sent one by one under their own ids.

import { by, get, transact } from "./db.js";
import { readCaptureTime, withCaptureTime } from "./exif.js";
import { uuid7 } from "./ids.js";

const MOST_BYTES = 15_000_000;
const LOWEST_RATE = 8_000; // bytes a second below which a connection is given up
const SCALE_SECONDS = 30;
let worker = null;

// Resolves with the photo's id once its bytes are on this phone for good. `about` says where it was taken.
export async function keepPhoto(house, file, about) {
  if (file.size > 4 * MOST_BYTES) throw new Error("is too large to be kept; take it again.");
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
    const { buffer, mime } = await get("bytes", photo.id);
    const scaled = keepOriginals ? null : await scale(photo.id, buffer, mime);
    const bytes = scaled ? { id: photo.id, buffer: withCaptureTime(scaled.buffer, readCaptureTime(buffer)), mime: "image/jpeg" } : { id: photo.id, buffer, mime };
    const size = bytes.buffer.byteLength;
    const why = size > MOST_BYTES ? "larger than 15 MB and cannot be made smaller here" : "";
    await transact(["photos", "bytes"], "readwrite", (t) => {
      t.objectStore("bytes").put(bytes);
      t.objectStore("photos").put({ ...photo, state: why ? "stuck" : "here", why, size, mime: bytes.mime });
    });
  }
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

export async function sendPhotos(house, token, tell) {
  for (const photo of await photosIn(house, "here")) {
    const bytes = await get("bytes", photo.id);
    const { status, said } = await putPhoto(token, photo, bytes);
    if (status === 201 || (status === 200 && said.id === photo.id)) await settlePhoto(photo, "office", said.reason || "");
    else if (status === 413 || status === 415) await settlePhoto(photo, "stuck", said.message || "the office cannot take it");
    else throw Object.assign(new Error(said.message || "The office did not keep a photo. It is kept here."), { status });
    tell();
  }
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
    const answer = await fetch(`/api/v1/photos/${photo.id}`, options);
    const isJson = (answer.headers.get("content-type") || "").startsWith("application/json");
    return { status: isJson ? answer.status : 0, said: isJson ? await answer.json() : { message: "This network did not let the office answer." } };
  } catch {
    return { status: 0, said: { message: "No connection to the office. Everything recorded is kept here." } };
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

// Photos that no entry names: taken just before the page was killed.
export async function loosePhotos(house, walkEntries) {
  const used = new Set(walkEntries.flatMap((entry) => JSON.parse(entry.text).photos || []));
  const kept = [...(await photosIn(house, "raw")), ...(await photosIn(house, "here")), ...(await photosIn(house, "office"))];
  return kept.filter((photo) => !used.has(photo.id) && !photo.about?.done);
}
