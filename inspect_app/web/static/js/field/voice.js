// A voice note beside the text note: started and stopped with one target, its pieces on this phone every few seconds.

import { button, el, say } from "./dom.js";
import { beginRecording, endRecording, growRecording } from "./recordings.js";

const MOST_SECONDS = 120;
const PIECE_MS = 3_000; // what a crash may cost
const BITS_PER_SECOND = 32_000; // speech; two minutes are half a megabyte
const KINDS = ["audio/webm;codecs=opus", "audio/mp4", "audio/ogg;codecs=opus"];
const CANNOT = "This browser cannot record a voice note here. Type the note; the phone's keyboard may take dictation.";

const microphoneHere = () => Boolean(window.isSecureContext && navigator.mediaDevices?.getUserMedia && window.MediaRecorder);
const clock = (seconds) => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;

// {node, ids(), finish()}: `finish` stops what is still being spoken and resolves once it is on this phone.
export function voiceField(house, about, before, onKept) {
  const kept = [...before];
  const list = el("ul", { class: "plain", "aria-live": "polite" }, before.map(() => el("li", {}, "A voice note spoken before: on this phone")));
  if (!microphoneHere()) return { node: el("div", { class: "voice" }, el("p", { class: "quiet" }, CANNOT), list), ids: () => kept, finish: async () => {} };
  let spoken = null;
  let left = false;
  const target = button("Record a voice note", () => (spoken ? spoken.stop() : start()), { class: "target wide", "aria-pressed": "false" });
  const rest = () => {
    spoken = null;
    target.textContent = "Record a voice note";
    target.setAttribute("aria-pressed", "false");
  };
  const start = async () => {
    target.disabled = true;
    const line = el("li", {}, "");
    try {
      spoken = await speak(house, about, (seconds) => {
        target.textContent = `Stop the voice note (${clock(seconds)} of ${clock(MOST_SECONDS)})`;
      });
      target.setAttribute("aria-pressed", "true");
      say("Recording.");
      if (left) spoken.stop(); // the microphone opened after the page had been left
    } catch (error) {
      rest();
      line.textContent = microphoneWords(error);
      list.append(line);
      return;
    } finally {
      target.disabled = false;
    }
    const { id, seconds, failure } = await spoken.ended;
    rest();
    line.textContent = failure ? notKept(failure, id) : `Voice note, ${clock(seconds)}: on this phone`;
    if (id) kept.push(id);
    list.append(line);
    onKept();
  };
  const finish = async () => {
    left = true;
    const now = spoken;
    now?.stop();
    await now?.ended;
    left = false;
  };
  return { node: el("div", { class: "voice" }, target, list), ids: () => [...kept], finish };
}

// Resolves when the microphone is open; `ended` resolves with what was kept, whoever stopped it.
async function speak(house, about, tell) {
  const stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false }, video: false });
  const close = () => stream.getTracks().forEach((track) => track.stop());
  const mimeType = KINDS.find((kind) => MediaRecorder.isTypeSupported(kind));
  let recorder;
  let row;
  try {
    recorder = new MediaRecorder(stream, { ...(mimeType ? { mimeType } : {}), audioBitsPerSecond: BITS_PER_SECOND });
    row = await beginRecording(house, recorder.mimeType || mimeType || "audio/webm", about);
  } catch (error) {
    close();
    throw error;
  }
  const begun = performance.now();
  const seconds = () => Math.min(MOST_SECONDS, Math.floor((performance.now() - begun) / 1000));
  const stop = () => recorder.state !== "inactive" && recorder.stop();
  const ticking = setInterval(() => (seconds() >= MOST_SECONDS ? stop() : tell(seconds())), 250);
  const hidden = () => document.hidden && stop();
  document.addEventListener("visibilitychange", hidden);
  const ended = writing(recorder, row).finally(() => {
    clearInterval(ticking);
    document.removeEventListener("visibilitychange", hidden);
    close();
    row.release();
  });
  stream.getTracks().forEach((track) => track.addEventListener("ended", stop));
  recorder.start(PIECE_MS);
  tell(0);
  return { stop, ended: ended.then((done) => ({ ...done, seconds: done.seconds ?? seconds() })) };
}

// One write after the other, each with all pieces so far; a failed one is tried again with the next piece.
function writing(recorder, row) {
  const pieces = [];
  let failure = null;
  let last = Promise.resolve();
  const write = async () => {
    try {
      await growRecording(row.id, pieces);
      failure = null;
    } catch (error) {
      failure = error;
    }
  };
  recorder.addEventListener("dataavailable", ({ data }) => {
    if (!data.size) return;
    pieces.push(data);
    last = last.then(write);
  });
  const begun = performance.now();
  return new Promise((resolve) => {
    recorder.addEventListener("stop", async () => {
      const seconds = Math.min(MOST_SECONDS, Math.round((performance.now() - begun) / 1000));
      await last;
      const some = await endRecording(row.id).catch((error) => {
        failure ??= error;
        return false;
      });
      resolve({ id: some ? row.id : "", seconds, failure: failure ?? (some ? null : new Error("nothing was heard")) });
    });
  });
}

function notKept(failure, id) {
  const full = failure.name === "QuotaExceededError" ? "the phone's storage is full" : failure.message;
  return `Voice note: ${id ? "only its beginning was kept" : "NOT kept"}, ${full}.`;
}

function microphoneWords(error) {
  if (error?.name === "NotAllowedError") return "The browser may not use the microphone here. Allow it in the settings of this page, or type the note.";
  if (error?.name === "NotFoundError") return "This phone shows the browser no microphone. Type the note.";
  return `The voice note could not be started (${error?.message || "no reason given"}). Type the note.`;
}
