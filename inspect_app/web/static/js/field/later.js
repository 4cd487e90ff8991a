// Modules that are not needed to open the page: fetched behind the first screen, so that all are there without a signal.

// Told apart from what goes wrong with something that somebody has recorded.
export class NotHere extends Error {}

const MODULES = {
  api: () => import("./api.js"),
  awake: () => import("./awake.js"),
  brief: () => import("./brief.js"),
  closing: () => import("./closing.js"),
  exif: () => import("./exif.js"),
  find: () => import("./find.js"),
  house: () => import("./house.js"),
  houses: () => import("./houses.js"),
  overview: () => import("./overview.js"),
  packDelta: () => import("./pack_delta.js"),
  photos: () => import("./photos.js"),
  ready: () => import("./ready.js"),
  recordings: () => import("./recordings.js"),
  room: () => import("./room.js"),
  scan: () => import("./scan.js"),
  sending: () => import("./sending.js"),
  sheet: () => import("./sheet.js"),
  start: () => import("./start.js"),
  stopping: () => import("./stopping.js"),
  store: () => import("./store.js"),
  thumbs: () => import("./thumbs.js"),
  torch: () => import("./torch.js"),
  unsentFile: () => import("./unsent_file.js"),
  version: () => import("./version.js"),
};

const orNotHere = (load) => () =>
  load().catch(() => {
    throw new NotHere("A part of this page is not on the phone yet. It is fetched when there is a connection.");
  });
export const later = Object.fromEntries(Object.entries(MODULES).map(([name, load]) => [name, orNotHere(load)]));

// Where no service worker keeps files, a page that has all of its code goes on when the signal is gone.
export async function fetchBehind() {
  for (const load of Object.values(later)) await load().catch(() => {}); // asked for again when it is needed
}
