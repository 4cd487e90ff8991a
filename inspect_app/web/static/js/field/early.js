// The first script: asks this phone's storage for what the page reads first, then for the other scripts. Each reading is
// handed out once and only while the page opens: later the storage may hold something else.

import { by, get, isOpen } from "./db.js";

const begun = new Map();

function begin(store, key, reading = get(store, key)) {
  reading.catch(() => {}); // told to whoever takes it
  begun.set(`${store} ${key}`, reading);
  return reading;
}

// The reading that was begun, or a new one.
export function first(store, key, ask = () => get(store, key)) {
  const name = `${store} ${key}`;
  const reading = begun.get(name);
  begun.delete(name);
  return reading ?? ask();
}

export const opened = () => begun.clear();

const [house, walk] = ["house", "walk"].map((name) => new URLSearchParams(location.search).get(name));
if (house) {
  begin("meta", `device/${house}`);
  begin("packs", house);
}
if (house && walk) {
  const lists = ({ checklists } = {}) => checklists?.forEach(({ revision }) => begin("meta", `pack-list/${house}/${revision}`));
  begin("walks", walk).then(lists, () => {});
  begin("entries", walk, by("entries", "walk", walk));
  begin("drafts", `place/${walk}`);
}

// This script may be there before the page that it stands in is read to its end.
const parsed = document.readyState === "loading" ? new Promise((resolve) => document.addEventListener("DOMContentLoaded", resolve)) : null;

// The page's own script is the first of those named in it; all are asked for at once. Not before the storage has been
// asked, or its answers would wait until all of them are read; a storage that does not answer keeps nobody waiting.
async function loadRest() {
  const scripts = document.querySelector("meta[name=walk-scripts]").content.split(" ");
  for (const href of scripts) document.head.append(Object.assign(document.createElement("link"), { rel: "modulepreload", href }));
  try {
    await parsed;
    await import(scripts[0]);
  } catch (error) {
    const [heading, told] = ["h1", "p"].map((tag) => document.createElement(tag));
    heading.textContent = "Not loaded whole";
    told.textContent = "Parts of this page did not come. What was recorded on this phone is kept. Load the page again when there is a connection.";
    document.getElementById("field").replaceChildren(heading, told);
    throw error;
  }
}

const STORAGE_MS = 150;
Promise.race([isOpen(), new Promise((resolve) => setTimeout(resolve, STORAGE_MS))]).then(loadRest, loadRest);
