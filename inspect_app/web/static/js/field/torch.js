// The phone's light, where the browser can switch it: it is part of the rear camera, which stays open while it shines.

import { borrow, giveBack } from "./camera.js";
import { say } from "./dom.js";

const USER = "torch";
const NONE = "inspect-log/no-light";
let track = null;
let busy = false;

export async function switchTorch(target) {
  if (busy) return;
  busy = true;
  try {
    await (track ? off(target) : shine(target));
  } finally {
    busy = false;
  }
}

async function shine(target) {
  try {
    const stream = await borrow(USER, () => off(target));
    const [camera] = stream.getVideoTracks();
    if (!camera.getCapabilities?.().torch) return none(target);
    await camera.applyConstraints({ advanced: [{ torch: true }] });
    track = camera;
  } catch (error) {
    await giveBack(USER);
    tell(target, error?.name === "NotAllowedError" ? "Light: not allowed" : "Light: no");
    say("The light could not be switched on.");
    return;
  }
  tell(target, "Light: on");
}

async function off(target) {
  const camera = track;
  track = null;
  await camera?.applyConstraints({ advanced: [{ torch: false }] }).catch(() => {}); // a pane may go on using the camera
  await giveBack(USER);
  tell(target, "Light: off");
}

// A camera without a light: said once, and not offered at the next start.
async function none(target) {
  await giveBack(USER);
  target.disabled = true;
  localStorage.setItem(NONE, "1");
  tell(target, "No light");
  say("This phone's camera has no light that the browser can switch.");
}

function tell(target, words) {
  target.textContent = words;
  target.setAttribute("aria-pressed", String(Boolean(track)));
}
