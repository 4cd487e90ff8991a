// A photo goes to the office under its own id, with a digest where the browser can make one.

import { Refused } from "./api.js";
import { uuid7 } from "./ids.js";

const MOST_BYTES = 15_000_000;

export async function sendPhoto(token, file) {
  if (file.size > MOST_BYTES) throw new Refused(413, "larger than 15 MB.");
  const bytes = await file.arrayBuffer();
  const id = uuid7();
  const headers = { Authorization: `Bearer ${token}`, "Content-Type": file.type || "application/octet-stream" };
  if (crypto.subtle) {
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
    headers["Content-Digest"] = `sha-256=:${btoa(String.fromCharCode(...digest))}:`;
  }
  let answer;
  try {
    answer = await fetch(`/api/v1/photos/${id}`, { method: "PUT", body: bytes, headers, credentials: "omit", redirect: "error" });
  } catch {
    throw new Refused(0, "no connection to the office.");
  }
  if (!answer.ok) {
    const said = await answer.json().catch(() => ({}));
    throw new Refused(answer.status, said.message || "the office refused it.");
  }
  return { id, words: "in the office" };
}
