// Keeps the screen on while a walk is open, where the browser can; asked again when the page comes back into view.

let lock = null;
let wanted = false;

export async function stayAwake(on) {
  wanted = on;
  if (!on) {
    await lock?.release?.();
    lock = null;
    return;
  }
  try {
    lock = await navigator.wakeLock?.request("screen");
  } catch {
    lock = null; // a low battery or an address that is not trusted: the phone decides
  }
}

document.addEventListener("visibilitychange", () => {
  if (wanted && !document.hidden) stayAwake(true);
});
