// Taking a photo again over a translucent picture of the last one, so that the years can be compared.

import { cameraHere, NO_CAMERA } from "./camera.js";
import { get } from "./db.js";
import { button, el, field, say } from "./dom.js";
import { readCaptureTime, withCaptureTime } from "./exif.js";
import { openPane } from "./pane.js";

const SHUTTER_MS = 8_000; // some phones never answer their own shutter
const QUALITY = 0.92;
const OTHERWISE = "Close this and take the photo with the field below.";

// The way into the pane, once the last picture has been read from this phone; nothing where there is none.
export function retakeOffer(pack, part, keep) {
  const offer = el("div", { class: "retake", hidden: true });
  const [id] = pack.parts[part].photos || [];
  if (id) {
    get("thumbs", id).then((kept) => {
      if (!kept) return;
      const open = () => retakePane(pack.parts[part].tag, kept, keep);
      offer.append(cameraHere() ? button("Take it again over the last photo", open, { class: "target wide" }) : el("p", { class: "quiet" }, `${NO_CAMERA} ${OTHERWISE.slice(OTHERWISE.indexOf("take")).replace("take", "Take")}`));
      offer.hidden = false;
    });
  }
  return offer;
}

export function retakePane(tag, last, keep) {
  const source = URL.createObjectURL(new Blob([last.buffer], { type: last.mime }));
  const ghost = el("img", { class: "ghost", src: source, alt: `Last photo of ${tag}, laid over the live picture` });
  const strength = el("input", { type: "range", name: "strength", min: 0, max: 10, step: 1, value: 5 });
  const show = () => {
    ghost.dataset.strength = strength.value; // in tenths; the style sheet knows them
    strength.setAttribute("aria-valuetext", `${strength.value} of 10`);
  };
  strength.addEventListener("input", show);
  show();
  let pane = null;
  const shutter = button("Take the photo", () => pane && shoot(pane, shutter, keep), { class: "target main wide shutter", disabled: true });
  const onOpen = (opened) => {
    pane = opened;
    shutter.disabled = false;
    shutter.focus();
    opened.tell("Move until both pictures lie on each other.");
  };
  const below = [field("How strongly the last photo shows", strength), shutter];
  openPane(`${tag}: again as last time`, { over: [ghost], below, otherwise: OTHERWISE, onOpen, onClose: () => URL.revokeObjectURL(source) });
}

async function shoot({ stream, video, tell, close }, shutter, keep) {
  shutter.disabled = true;
  tell("Keeping it ...");
  const at = new Date();
  try {
    const jpeg = await (await shot(stream, video)).arrayBuffer();
    const dated = readCaptureTime(jpeg) ? jpeg : withCaptureTime(jpeg, exifTime(at));
    const file = new File([dated], `retaken-${exifTime(at).slice(11).replaceAll(":", "")}.jpg`, { type: "image/jpeg", lastModified: at.getTime() });
    await keep(file);
    navigator.vibrate?.(20);
    say("Photo taken.");
    close();
  } catch (error) {
    tell(`NOT taken: ${error.message}. Try again, or close this and use the field below.`);
    shutter.disabled = false;
  }
}

// The camera's own picture where it gives one, or else the frame in sight, at all the size that the track has.
async function shot(stream, video) {
  const [track] = stream.getVideoTracks();
  if ("ImageCapture" in window) {
    const late = new Promise((_, reject) => setTimeout(() => reject(new Error("the shutter did not answer")), SHUTTER_MS));
    const blob = await Promise.race([new ImageCapture(track).takePhoto(), late]).catch(() => null);
    if (blob?.type === "image/jpeg" && blob.size) return blob;
  }
  if (!video.videoWidth) throw new Error("there is no picture yet");
  const canvas = el("canvas", { width: video.videoWidth, height: video.videoHeight });
  canvas.getContext("2d").drawImage(video, 0, 0);
  return new Promise((resolve, reject) => {
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("the frame could not be kept"))), "image/jpeg", QUALITY);
  });
}

// As EXIF writes a time (Exif 2.32, DateTimeOriginal), by the phone's own clock and zone.
function exifTime(at) {
  const two = (n) => String(n).padStart(2, "0");
  return `${at.getFullYear()}:${two(at.getMonth() + 1)}:${two(at.getDate())} ${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}`;
}
