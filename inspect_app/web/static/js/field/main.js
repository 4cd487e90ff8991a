// The walk page: opens from what this phone has, refreshes from the office when it can, leads from screen to screen.

import { notSaved, showAge, showPageAge, showRoom, startBar, tellQueue } from "./bar.js";
import { button, el, field, show } from "./dom.js";
import { opened } from "./early.js";
import { fetchBehind, later } from "./later.js";
import { packs, pairing, walks } from "./memory.js";
import { fillBallast } from "./outbox.js";
import { afterPaint, showProgress } from "./progress.js";
import { refreshPlaces, rowsScreen } from "./rows.js";
import { SCHEMA, stoppedIn, Walk } from "./walk.js";

let query = new URLSearchParams(location.search);
let house = query.get("house");
let walk;
let redrawHere = () => {};

const keepOriginals = () => Boolean(walk.pack.house.keep_originals);
const saved = () => sendNow();
const keptHere = () => window.dispatchEvent(new CustomEvent("walk-saved", { detail: 1 })); // a photo or voice note
const sendNow = async () => {
  const { send } = await sending();
  return send(house, walk.device.token, keepOriginals());
};
const acts = { onSaved: saved, onNotSaved: notSaved, onSpoken: () => (keptHere(), saved()) };

// A screen whose module is fetched behind the first one.
const screen = (module, name) => async (...given) => {
  let found;
  try {
    found = await later[module]();
  } catch (error) {
    return trouble(error);
  }
  return found[name](...given);
};
const briefScreen = screen("brief", "briefScreen");
const closingScreen = screen("closing", "closingScreen");
const overviewScreen = screen("overview", "overviewScreen");
const startScreen = screen("start", "startScreen");
const findPart = screen("find", "findPart");
const housesScreen = screen("houses", "housesScreen");
const readyScreen = screen("ready", "readyScreen");
const sheetScreen = screen("sheet", "sheetScreen");
const stoppingScreen = screen("stopping", "stoppingScreen");
const storeScreen = screen("store", "storeScreen");

async function begin() {
  house ??= await onlyHouse();
  if (!house) return whichHouse();
  const id = query.get("walk");
  try {
    const [paired, kept, noted] = await Promise.all([pairing.get(house), packs.get(house), id ? walks.get(id) : undefined]);
    const device = paired ?? (await (await later.house()).pairHere(house));
    const pack = kept?.pack ?? (await (await later.house()).fetchPack(house, device)).pack;
    walk = new Walk(house, device, pack);
    packOf(kept?.kept_at ?? new Date().toISOString());
    document.getElementById("house-name").textContent = pack.house.name;
    document.getElementById("demo").hidden = !pack.house.demo;
    await goOn(id, noted);
    opened();
    afterPaint(behind);
  } catch (error) {
    opened();
    trouble(error);
  }
}

// Without a house in the address: the only one this phone knows.
async function onlyHouse() {
  const known = await packs.houses();
  return known.length === 1 ? known[0] : null;
}

// A comfort, so that it never keeps the screen waiting.
const awake = (on) => afterPaint(() => later.awake().then(({ stayAwake }) => stayAwake(on)).catch(() => {}));

let listening = false;
async function sending() {
  const module = await later.sending();
  if (!listening) module.onSending(tellSent);
  listening = true;
  return module;
}

async function tellLeft(error) {
  const { unsent } = await sending();
  const { left, stuck } = await unsent();
  tellQueue(left, error, stuck);
}

// What can wait until there is something to see.
async function behind() {
  await walk.pack.whole?.().catch(() => {}); // before a newer pack takes its place; who needs it asks again
  const [{ askToKeep }, { fetchedByWorker }] = await Promise.all([later.room(), later.version()]);
  await tellLeft();
  askToKeep();
  tellRoom();
  fetchedByWorker().then(fetchBehind);
  await later.recordings().then(({ rescueRecordings }) => rescueRecordings(house)).catch(() => {}); // found again at the next start
  refresh();
  sendNow();
  later.api().then(({ call }) => call(`/api/v1/health?schema=${SCHEMA}`, { bare: true })).then(({ words }) => showPageAge(words)).catch(() => {}); // asked again at the next start
  fillBallast();
}

function packOf(at) {
  walk.packAt = at;
  showAge(at);
}

async function tellRoom() {
  const { lowInShort, roomHere } = await later.room();
  const room = await roomHere(keepOriginals());
  showRoom(room?.low ? lowInShort(room) : "");
}

function whichHouse() {
  redrawHere = () => {};
  const onHouse = (chosen) => {
    house = chosen;
    query = new URLSearchParams();
    begin();
  };
  tellLeft();
  return housesScreen({ onHouse, form: codeForm() });
}

// Where this phone was: the walk and the stretch in the address, or else the list of walks.
async function goOn(id, noted) {
  const known = walk.pack.walks.find((item) => item.id === id) ?? noted;
  const here = known?.checklists && known.state !== "sealed" && (known.house ?? house) === house;
  return here ? openWalk(known, noted) : start();
}

// A newer pack is taken up between walks only; stops act at once.
async function refresh() {
  const mine = walk;
  try {
    const fresh = await (await later.house()).fetchPack(house, walk.device);
    if (walk !== mine) return; // another house was chosen meanwhile
    const pack = fresh.changed ? fresh.pack : walk.pack;
    const before = walk.stopped.size;
    for (const place of stoppedIn(pack)) walk.stopped.add(place);
    if (walk.id && walk.stopped.size > before) redrawSoon();
    fetchPictures(pack, walk.device.token).catch(() => {}); // without a connection there are fewer pictures, that is all
    if (!walk.id || !fresh.changed) packOf(new Date().toISOString());
    if (!walk.id) {
      walk.usePack(pack);
      if (fresh.changed && document.getElementById("walks")) start();
    }
  } catch (error) {
    if (error.status === 401) tellLeft(error);
  }
}

// Old pictures are worth having, but not the room that new ones need.
async function fetchPictures(pack, token) {
  const { roomHere } = await later.room();
  if ((await roomHere(keepOriginals()))?.low) return;
  const { fetchThumbs } = await later.thumbs();
  await fetchThumbs(pack, token);
}

async function trouble(error) {
  const unpaired = error.status === 401;
  if (unpaired && house) await pairing.forget(house);
  const back = `${location.pathname}${location.search}`;
  show(
    el("h1", {}, unpaired ? "Sign in to go on" : "Not ready"),
    el("p", { class: "caution" }, unpaired ? "The office does not know this phone, or nobody is signed in. What you recorded is kept here." : error.message),
    unpaired ? el("p", {}, el("a", { class: "target main wide", href: `/sign-in?next=${encodeURIComponent(back)}` }, "Sign in")) : null,
    unpaired ? codeForm() : null,
    button("Try again", begin, { class: "target wide" }),
  );
}

// The code stands on another screen, under Pair a phone on the page of somebody's account.
function codeForm() {
  const code = el("input", { name: "code", autocomplete: "one-time-code", autocapitalize: "characters", maxlength: 20 });
  const wrong = el("p", { class: "caution", role: "alert", hidden: true });
  const pairNow = async (event) => {
    event.preventDefault();
    try {
      const device = await (await later.house()).pairWithCode(code.value.trim(), house);
      house = device.house;
      await begin();
    } catch (error) {
      wrong.hidden = false;
      wrong.textContent = error.message;
    }
  };
  return el("form", { class: "stack", onsubmit: pairNow }, field("Or type a pairing code", code, "Made by somebody who is signed in, under their account; it lasts ten minutes."), wrong, el("button", { type: "submit", class: "target" }, "Pair this phone"));
}

// Where a reload comes back to. A browser takes its time over it, also where the address stays the same.
function standAt(address) {
  if (`${location.pathname}${location.search}` !== address) history.replaceState(null, "", address);
}

async function start() {
  walk.id = null;
  window.dispatchEvent(new Event("walk-left"));
  awake(false);
  showProgress(null);
  redrawHere = () => {};
  standAt(`/walk?house=${house}`);
  startScreen(walk, {
    keptAt: walk.packAt,
    local: await walks.all(house),
    onOpen: (item) => openWalk(item),
    onNew: () => withWholePack(() => briefScreen(walk, { ...acts, onBegin: begun, onBack: start })),
    onHouses: (await packs.houses()).length > 1 ? whichHouse : null,
    onReady: () => readyScreen(walk, { onBack: start }),
    onStore: () => storeScreen(walk, { ...acts, onBack: start, onSend: sendNow, onLoose: attachLoose }),
  });
}

function begun() {
  window.dispatchEvent(new Event("walk-opened"));
  saved();
  standAt(`/walk?house=${house}&walk=${walk.id}`);
  overview();
}

async function openWalk(item, noted) {
  try {
    await walk.open(item, noted);
    window.dispatchEvent(new Event("walk-opened"));
    standAt(`/walk?house=${house}&walk=${item.id}`);
    const { list, stop, state } = walk.place;
    const at = walk.stops().find((one) => one.list.id === list && one.stop.id === stop);
    if (at) rows(at.list, at.stop, state);
    else overview();
    afterPaint(fetchLooks);
  } catch (error) {
    trouble(error);
  }
}

// Not under a finger: a row that came into another's place between touching and lifting would be tapped for it.
let touchedUntil = 0;
const TAP_MS = 300; // from lifting to the click
window.addEventListener("pointerdown", () => (touchedUntil = Infinity), true);
for (const type of ["pointerup", "pointercancel"]) window.addEventListener(type, () => (touchedUntil = performance.now() + TAP_MS), true);
function redrawSoon() {
  if (performance.now() < touchedUntil) setTimeout(redrawSoon, TAP_MS);
  else redrawHere();
}

async function fetchLooks() {
  const id = walk.id;
  try {
    const { call } = await later.api();
    const known = await call(`/api/v1/walks/${id}/looks`, { token: walk.device.token });
    if (walk.id === id && (await walk.merge(known.looks))) redrawSoon();
  } catch {
    // Without a connection the walk goes on with what is on this phone.
  }
}

function overview() {
  awake(true);
  walk.keepPlace({ list: null, stop: null });
  redrawHere = overview;
  const here = { ...acts, onBack: overview };
  overviewScreen(walk, {
    onStretch: (list, stop, state) => {
      walk.keepPlace({ ways: ["seen_close"], screen: null, turned: false });
      rows(list, stop, state);
    },
    onFind: (part) => findPart(walk, part, rows, overview),
    onStop: () => stoppingScreen(walk, here),
    onStore: () => storeScreen(walk, { ...here, onSend: sendNow, onLoose: attachLoose }),
    onClose: () => closingScreen(walk, { onBack: overview, onClosed: () => location.assign(`/houses/${house}/walks/${walk.id}/review`) }),
    onStart: start,
  });
}

function rows(list, stop, state, at) {
  const here = () => rows(list, stop, state);
  awake(true);
  redrawHere = rowsScreen(walk, list, stop, state, {
    ...acts,
    at,
    onBack: overview,
    onStop: () => leave(() => stoppingScreen(walk, { ...acts, onBack: here })),
    onSheet: (what) => leave(() => sheet(what, here)),
  });
}

function leave(next) {
  redrawHere = () => {}; // what comes in while a sheet is open must not close it
  next();
}

async function takePhoto(file, about) {
  const { keepPhoto } = await later.photos();
  const id = await keepPhoto(house, file, about);
  keptHere();
  sendNow().then(tellRoom);
  return id;
}

function attachLoose(photo) {
  const { about } = photo;
  const list = walk.checklists?.find((one) => one.id === about.list);
  const point = list?.sections.flatMap((section) => section.points).find((one) => one.id === about.point);
  if (!point) return;
  const [vantage, state] = about.pass.split("/");
  const stop = list.stops.find((one) => one.vantage === vantage && one.parts.includes(walk.pack.parts[about.part].kind));
  const row = { key: about.part, label: walk.pack.parts[about.part].tag, parts: [about.part] };
  const what = { list, stop, state, row, mode: "photo", photo, point };
  leave(() => sheet(what, overview));
}

const sheet = (what, onBack) => withWholePack(() => sheetScreen(walk, what, { ...acts, onBack, onPhoto: takePhoto }));

// For what needs all of the pack.
async function withWholePack(next) {
  try {
    await walk.pack.whole?.();
  } catch (error) {
    return trouble(error);
  }
  return next();
}

// Offered only where the browser knows of a light; whether this camera has one shows when it is switched on.
function startTorch() {
  const target = document.getElementById("torch");
  const known = window.isSecureContext && navigator.mediaDevices?.getSupportedConstraints?.().torch;
  target.hidden = !known || !matchMedia("(pointer: coarse)").matches || localStorage.getItem("inspect-log/no-light");
  target.addEventListener("click", () => later.torch().then(({ switchTorch }) => switchTorch(target)));
}

function tellSent({ left, error, stuck, refused, verdicts }) {
  tellQueue(left, error, stuck, refused);
  if (!verdicts || !walk) return;
  for (const { id, verdict } of verdicts) walk.where.set(id, verdict === "held" ? "held" : "office");
  refreshPlaces(walk);
}
for (const event of ["online", "pageshow", "focus"]) window.addEventListener(event, () => walk && sendNow());
document.addEventListener("visibilitychange", () => walk && !document.hidden && sendNow());
startBar(() => walk && sendNow());
startTorch();
begin().finally(() => afterPaint(async () => (await later.version()).watchForNewVersion(() => !walk?.id)));
