// Modules that are not needed to open the page: fetched behind the first screen, so that all are there without a signal.

export const later = {
  brief: () => import("./brief.js"),
  closing: () => import("./closing.js"),
  exif: () => import("./exif.js"),
  find: () => import("./find.js"),
  houses: () => import("./houses.js"),
  packDelta: () => import("./pack_delta.js"),
  ready: () => import("./ready.js"),
  recordings: () => import("./recordings.js"),
  scan: () => import("./scan.js"),
  sheet: () => import("./sheet.js"),
  stopping: () => import("./stopping.js"),
  store: () => import("./store.js"),
  thumbs: () => import("./thumbs.js"),
  torch: () => import("./torch.js"),
  unsentFile: () => import("./unsent_file.js"),
};

// Where no service worker keeps files, a page that has all of its code goes on when the signal is gone.
export async function fetchBehind() {
  for (const load of Object.values(later)) await load().catch(() => {}); // asked for again when it is needed
}
