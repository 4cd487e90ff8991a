// Scanning a part's QR label with the rear camera; the way that always works is to type its number.

import { cameraHere } from "./camera.js";
import { say } from "./dom.js";
import { placeOf } from "./find.js";
import { readLabel } from "./label.js";
import { openPane } from "./pane.js";

const EVERY_MS = 200;
const SHOWN = 200;
const TYPE_IT = "Close this and type the number on the label.";

export const CANNOT_SCAN = "This browser cannot scan labels: type the number, or read it out to somebody who can.";

export async function canScan() {
  if (!cameraHere() || !("BarcodeDetector" in window)) return false;
  const formats = await window.BarcodeDetector.getSupportedFormats().catch(() => []);
  return formats.includes("qr_code");
}

// Goes to the row of the part whose label is seen, or says what is wrong and goes on looking.
export function scanPane(walk, onFind) {
  const detector = new window.BarcodeDetector({ formats: ["qr_code"] });
  let open = true;
  const look = async ({ video, tell, close }) => {
    tell("Hold the label in the picture.");
    let last = "";
    while (open) {
      const seen = video.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA ? await detector.detect(video).catch(() => []) : [];
      const text = seen.map((one) => one.rawValue).find((one) => one && one !== last);
      if (text && open) {
        last = text;
        const { part, wrong } = partOf(walk, text);
        if (part) {
          navigator.vibrate?.(20);
          say(`${walk.pack.parts[part].tag}.`);
          close();
          return onFind(part);
        }
        tell(wrong);
      }
      await new Promise((resolve) => setTimeout(resolve, EVERY_MS));
    }
    return null;
  };
  const onClose = () => {
    open = false;
  };
  openPane("Scan a label", { otherwise: TYPE_IT, onOpen: look, onClose });
}

// {part}, or {wrong} in words. What is no label of ours is only ever shown as text.
export function partOf(walk, text) {
  const label = readLabel(text);
  if (!label) return { wrong: `This is no label of a part. It says: ${text.slice(0, SHOWN)}` };
  if (label.house !== walk.house) return { wrong: "This label belongs to another house." };
  const known = walk.pack.parts[label.part];
  if (!known) return { wrong: "This part is not known here. It was retired, or it is newer than what this phone has of the house." };
  if (!placeOf(walk, label.part)) return { wrong: `${known.tag} is not in this walk.` };
  return { part: label.part };
}
