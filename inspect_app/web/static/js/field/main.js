// The walk page: pairs this browser with the house, loads the pack, and leads from screen to screen.

import { Refused, call, pair } from "./api.js";
import { briefScreen } from "./brief.js";
import { closingScreen } from "./closing.js";
import { button, el, show } from "./dom.js";
import { pairing, queue, raiseSeq } from "./memory.js";
import { overviewScreen } from "./overview.js";
import { sendPhoto } from "./photos.js";
import { rowsScreen } from "./rows.js";
import { onSending, send } from "./sending.js";
import { sheetScreen } from "./sheet.js";
import { startScreen } from "./start.js";
import { stoppingScreen } from "./stopping.js";
import { Walk } from "./walk.js";
import { findPart } from "./find.js";
import { showProgress } from "./progress.js";

const query = new URLSearchParams(location.search);
const house = query.get("house");
let walk;

const saved = () => {
  tellQueue(queue.all(house).length);
  send(house, walk.device.token);
};

function tellQueue(left, error) {
  const line = document.getElementById("queue");
  line.textContent = left ? `${left} not yet in the office${error ? `: ${error.message}` : ""}` : "All in the office";
  line.classList.toggle("caution", Boolean(left && error));
}

async function begin() {
  if (!house) return show(el("h1", {}, "Which house?"), el("p", {}, el("a", { href: "/houses" }, "Choose a house")));
  try {
    const device = pairing.get(house) ?? (await pairHere());
    const pack = await call(`/api/v1/houses/${house}/pack`, { token: device.token });
    walk = new Walk(house, device, pack);
    raiseSeq(device.device, pack.last_seq || 0);
    document.getElementById("house-name").textContent = pack.house.name;
    saved();
    const wanted = pack.walks.find((item) => item.id === query.get("walk") && item.state !== "sealed");
    return wanted ? openWalk(wanted) : start();
  } catch (error) {
    return trouble(error);
  }
}

async function pairHere() {
  const device = await pair(house);
  pairing.set(house, device);
  return device;
}

function trouble(error) {
  const unpaired = error instanceof Refused && error.status === 401;
  if (unpaired) pairing.forget(house);
  const back = `${location.pathname}${location.search}`;
  show(
    el("h1", {}, unpaired ? "Sign in to go on" : "Not ready"),
    el("p", { class: "caution" }, unpaired ? "The office does not know this browser, or nobody is signed in. What you recorded is kept here." : error.message),
    unpaired ? el("p", {}, el("a", { class: "target main wide", href: `/sign-in?next=${encodeURIComponent(back)}` }, "Sign in")) : null,
    button("Try again", begin, { class: "target wide" }),
  );
}

function start() {
  showProgress(null);
  history.replaceState(null, "", `?house=${house}`);
  startScreen(walk, { onOpen: openWalk, onNew: () => briefScreen(walk, { onBegin: begun, onBack: start }) });
}

function begun() {
  saved();
  history.replaceState(null, "", `?house=${house}&walk=${walk.id}`);
  overview();
}

async function openWalk(item) {
  try {
    walk.open(item.id, item.title, item.checklists);
    const known = await call(`/api/v1/walks/${item.id}/looks`, { token: walk.device.token });
    walk.merge(known.looks);
    const scope = known.walk?.scope?.line_sets ?? item.line_sets;
    walk.scope = scope ? new Set(scope) : null;
    history.replaceState(null, "", `?house=${house}&walk=${item.id}`);
    const { list, stop, state } = walk.place;
    const at = walk.stops().find((one) => one.list.id === list && one.stop.id === stop);
    return at ? rows(at.list, at.stop, state) : overview();
  } catch (error) {
    return trouble(error);
  }
}

function overview() {
  walk.keepPlace({ list: null, stop: null });
  overviewScreen(walk, {
    onStretch: (list, stop, state) => {
      walk.keepPlace({ ways: ["seen_close"], screen: null, turned: false });
      rows(list, stop, state);
    },
    onFind: (part) => findPart(walk, part, rows, overview),
    onStop: () => stoppingScreen(walk, { onBack: overview, onSaved: saved }),
    onClose: () => closingScreen(walk, { onBack: overview, onClosed: () => location.assign(`/houses/${house}/walks/${walk.id}/review`) }),
    onStart: begin,
  });
}

function rows(list, stop, state, at) {
  const here = () => rows(list, stop, state);
  rowsScreen(walk, list, stop, state, {
    at,
    onBack: overview,
    onSaved: saved,
    onStop: () => stoppingScreen(walk, { onBack: here, onSaved: saved }),
    onSheet: (what) =>
      sheetScreen(walk, what, { onBack: here, onSaved: saved, onPhotos: (file) => sendPhoto(walk.device.token, file) }),
  });
}

// A tap that could not be kept must never look as if it had been.
window.addEventListener("error", (event) => {
  const full = event.error?.name === "QuotaExceededError";
  tellQueue(1, { message: full ? "NOT saved: this browser's storage is full" : "NOT saved: something went wrong, reload the page" });
});
onSending((event) => tellQueue(event.left, event.error));
window.addEventListener("online", () => walk && saved());
document.addEventListener("visibilitychange", () => walk && !document.hidden && saved());
document.getElementById("theme").addEventListener("click", (event) => {
  const order = ["dark", "red", "light"];
  const now = document.documentElement.dataset.theme || "dark";
  const next = order[(order.indexOf(now) + 1) % order.length];
  document.documentElement.dataset.theme = next;
  localStorage.setItem("inspect-log/theme", next);
  event.target.textContent = `Theme: ${next}`;
});
document.documentElement.dataset.theme = localStorage.getItem("inspect-log/theme") || "dark";
document.getElementById("theme").textContent = `Theme: ${document.documentElement.dataset.theme}`;
begin();
