// What is on this phone: each entry and photo with its state, sending by hand, saving a file, photos without an entry.

import { button, el, focusHeading, say, show } from "./dom.js";
import { all } from "./db.js";
import { housesHere } from "./house.js";
import { later } from "./later.js";
import { loosePhotos } from "./photos.js";
import { entriesOf } from "./outbox.js";
import { LOW_WORDS, roomHere, roomWords } from "./room.js";
import { PLACES, RESULTS, time } from "./words.js";

const SHOWN = 200;
const PHOTO_WORDS = { raw: "on this phone", here: "on this phone", original: "on this phone", office: "in the office", stuck: "needs help", recording: "being spoken" };

export async function storeScreen(walk, { onBack, onSend, onLoose }) {
  const entries = (await all("entries")).filter((entry) => entry.house === walk.house);
  const photos = (await all("photos")).filter((photo) => photo.house === walk.house);
  const [pictures, originals] = [photos.filter((photo) => !photo.of && !photo.kind), photos.filter((photo) => photo.of)];
  const spoken = photos.filter((photo) => photo.kind);
  const needHelp = photos.filter((photo) => photo.state === "stuck");
  const others = (await housesHere()).filter((one) => one.house !== walk.house && one.left);
  const room = await roomHere(Boolean(walk.pack.house.keep_originals));
  const loose = walk.id ? await loosePhotos(walk.house, await entriesOf(walk.id)) : [];
  const tally = (items, words) => [...new Set(items.map(words))].map((word) => `${items.filter((item) => words(item) === word).length} ${word}`).join(", ");
  const file = el("div", { role: "status" });
  show(
    el("h1", {}, "What is on this phone"),
    el("p", {}, `Entries: ${tally(entries, (entry) => PLACES[entry.state]) || "none"}. Photos: ${tally(pictures, (photo) => PHOTO_WORDS[photo.state]) || "none"}.`),
    originals.length ? el("p", {}, `Originals of photos: ${tally(originals, (photo) => PHOTO_WORDS[photo.state])}.`) : null,
    spoken.length ? el("p", {}, `Voice notes: ${tally(spoken, (photo) => PHOTO_WORDS[photo.state])}.`) : null,
    needHelp.map((photo) => el("p", { class: "caution" }, `${photo.of ? "The original of a photo" : photo.kind ? "A voice note" : "A photo"} of ${time(new Date(photo.taken || 0).toISOString())} was not sent: ${photo.why}. Save a file to take it off this phone.`)),
    others.map((one) => el("p", {}, `${one.name}: ${one.left} not yet sent.`)),
    el("p", { class: room?.low ? "caution" : "quiet", id: "room-left" }, roomWords(room), room?.low ? ` ${LOW_WORDS}` : ""),
    el(
      "div",
      { class: "row" },
      button("Send now", () => onSend().then(() => storeScreen(walk, { onBack, onSend, onLoose })), { class: "target main" }),
      button("Save a file", () => saveFile(walk, file), { class: "target" }),
    ),
    el("p", { class: "quiet" }, "The file holds what the office does not have. It may be imported in the office twice without harm."),
    file,
    loose.length ? el("h2", {}, "Photos and voice notes without an entry") : null,
    loose.map((photo) => looseLine(walk, photo, onLoose)),
    el("h2", {}, "Entries, newest first"),
    el("ul", { class: "plain" }, entries.reverse().slice(0, SHOWN).map((entry) => line(walk, entry))),
    button("Back", onBack, { class: "target wide" }),
  );
  focusHeading();
}

function line(walk, entry) {
  const { recorded_at: at, result, kind } = JSON.parse(entry.text);
  const what = entry.part ? `${walk.pack.parts[entry.part]?.tag ?? "a part"}: ${RESULTS[result] ?? result}` : kind;
  return el("li", {}, `${time(at)} ${what} `, el("span", { class: "state-word" }, PLACES[entry.state]), entry.reason ? el("span", { class: "quiet" }, ` ${entry.reason}`) : null);
}

function looseLine(walk, photo, onLoose) {
  const tag = walk.pack.parts[photo.about?.part]?.tag ?? "an unknown part";
  return el("p", {}, `${photo.kind ? "Spoken" : "Taken"} at ${tag}, ${time(new Date(photo.taken || 0).toISOString())}. `, button(`Go to ${tag} with it`, () => onLoose(photo), { class: "target" }));
}

// One tap makes the file; when it takes several, one tap for each, and those that were saved say so.
async function saveFile(walk, status) {
  const { makePart, partName, planParts } = await later.unsentFile();
  const parts = await planParts(walk.house);
  const at = new Date().toISOString();
  const save = async (index, told) => {
    const n = index + 1;
    const which = parts.length > 1 ? `Part ${n} of ${parts.length}: ` : "";
    const what = { house: walk.house, device: walk.device.device, at, part: parts[index], n, of: parts.length };
    const { blob, entries, photos } = await makePart(what, (done, all) => {
      told.textContent = `${which}photo ${done} of ${all} ...`;
    });
    download(blob, partName(at, n, parts.length));
    told.textContent = `${which}saved, ${entries} entries and ${photos} photos. They also stay on this phone.`;
    say(told.textContent);
  };
  if (parts.length === 1) {
    const told = el("p");
    status.replaceChildren(told);
    return save(0, told);
  }
  const line = (part, index) => {
    const told = el("span", { class: "quiet" }, "Not saved yet.");
    const words = `Save part ${index + 1} of ${parts.length} (${Math.round(part.bytes / 1e6)} MB)`;
    return el("li", {}, button(words, () => save(index, told), { class: "target wide" }), told);
  };
  const why = "There is too much for one file. Save each part; each can be brought in by itself, in any order.";
  status.replaceChildren(el("p", {}, why), el("ul", { class: "plain stack", id: "parts" }, parts.map(line)));
  return null;
}

function download(blob, name) {
  const link = el("a", { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
