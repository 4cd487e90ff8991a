// Records some seconds of a set into the form's file field, as WAV, so that a picture can be drawn of it. Where the
// browser has no microphone the field takes a file as before.

const form = document.querySelector("form[data-seconds]");
const field = form?.querySelector("input[type=file]");
const able = window.isSecureContext && navigator.mediaDevices?.getUserMedia && window.MediaRecorder && window.AudioContext;
if (field && able) offer();

function offer() {
  const told = Object.assign(document.createElement("p"), { className: "quiet" });
  told.setAttribute("role", "status");
  const target = Object.assign(document.createElement("button"), { type: "button", className: "button" });
  target.textContent = `Record ${form.dataset.seconds} seconds now`;
  target.addEventListener("click", async () => {
    target.disabled = true;
    try {
      const sound = await record(Number(form.dataset.seconds), (left) => {
        told.textContent = left ? `Recording: ${left} s left. Keep the pull steady.` : "Making the file ...";
      });
      put(sound);
      told.textContent = "Recorded. Say where and how, then keep it.";
    } catch (error) {
      told.textContent = words(error);
    } finally {
      target.disabled = false;
    }
  });
  field.closest(".field, p, div").after(target, told);
}

// As the microphone hears it: what a phone does for speech, quietening all that is steady, would hide what is listened for.
const PLAIN = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };

async function record(seconds, tell) {
  const stream = await navigator.mediaDevices.getUserMedia({ audio: PLAIN, video: false });
  try {
    const recorder = new MediaRecorder(stream);
    const pieces = [];
    recorder.addEventListener("dataavailable", ({ data }) => pieces.push(data));
    const ended = new Promise((resolve, reject) => {
      recorder.addEventListener("stop", resolve);
      recorder.addEventListener("error", (event) => reject(event.error));
    });
    stream.getTracks().forEach((track) => track.addEventListener("ended", () => recorder.state !== "inactive" && recorder.stop()));
    recorder.start();
    let left = seconds;
    tell(left);
    const ticking = setInterval(() => {
      left -= 1;
      tell(Math.max(left, 0));
      if (left <= 0 && recorder.state !== "inactive") recorder.stop();
    }, 1000);
    await ended.finally(() => clearInterval(ticking));
    return await asWav(new Blob(pieces, { type: recorder.mimeType }));
  } finally {
    stream.getTracks().forEach((track) => track.stop());
  }
}

// 16-bit PCM, one channel (RIFF WAVE, Multimedia Programming Interface and Data Specifications 1.0, 1991).
async function asWav(blob) {
  const context = new AudioContext();
  const heard = await context.decodeAudioData(await blob.arrayBuffer()).finally(() => context.close());
  const samples = heard.getChannelData(0);
  const out = new DataView(new ArrayBuffer(44 + samples.length * 2));
  const text = (at, chars) => [...chars].forEach((char, n) => out.setUint8(at + n, char.charCodeAt(0)));
  text(0, "RIFF");
  out.setUint32(4, 36 + samples.length * 2, true);
  text(8, "WAVEfmt ");
  out.setUint32(16, 16, true);
  out.setUint16(20, 1, true); // PCM
  out.setUint16(22, 1, true); // channels
  out.setUint32(24, heard.sampleRate, true);
  out.setUint32(28, heard.sampleRate * 2, true);
  out.setUint16(32, 2, true); // bytes of a frame
  out.setUint16(34, 16, true); // bits of a sample
  text(36, "data");
  out.setUint32(40, samples.length * 2, true);
  samples.forEach((value, n) => out.setInt16(44 + n * 2, Math.round(Math.max(-1, Math.min(1, value)) * 32767), true));
  return new File([out.buffer], "set-by-ear.wav", { type: "audio/wav" });
}

function put(file) {
  const given = new DataTransfer();
  given.items.add(file);
  field.files = given.files;
}

function words(error) {
  if (error?.name === "NotAllowedError") return "The browser may not use the microphone here. Allow it in the settings of this page, or choose a file.";
  if (error?.name === "NotFoundError") return "This device shows the browser no microphone. Choose a file.";
  return `Nothing was recorded (${error?.message || "no reason given"}). Try again, or choose a file.`;
}
