// What is on this phone: each entry and photo with its state, sending by hand, saving a file, photos without an entry.

import { button, el, focusHeading, say, show } from "./dom.js";
import { all, get } from "./db.js";
import { loosePhotos } from "./photos.js";
import { entriesOf } from "./outbox.js";
import { PLACES, RESULTS, time } from "./words.js";

const SHOWN = 200;
const PHOTO_WORDS = { raw: "on this phone", here: "on this phone", office: "in the office", stuck: "needs help" };

export async function storeScreen(walk, { onBack, onSend, onLoose }) {
  const entries = (await all("entries")).filter((entry) => entry.house === walk.house);
  const photos = (await all("photos")).filter((photo) => photo.house === walk.house);
  const loose = walk.id ? await loosePhotos(walk.house, await entriesOf(walk.id)) : [];
  const tally = (items, words) => [...new Set(items.map(words))].map((word) => `${items.filter((item) => words(item) === word).length} ${word}`).join(", ");
  const file = el("p", { role: "status" });
  show(
    el("h1", {}, "What is on this phone"),
    el("p", {}, `Entries: ${tally(entries, (entry) => PLACES[entry.state]) || "none"}. Photos: ${tally(photos, (photo) => PHOTO_WORDS[photo.state]) || "none"}.`),
    el(
      "div",
      { class: "row" },
      button("Send now", () => onSend().then(() => storeScreen(walk, { onBack, onSend, onLoose })), { class: "target main" }),
      button("Save a file", () => saveFile(walk, file), { class: "target" }),
    ),
    el("p", { class: "quiet" }, "The file holds what the office does not have. It may be imported in the office twice without harm."),
    file,
    loose.length ? el("h2", {}, "Photos without an entry") : null,
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
  return el("p", {}, `Taken at ${tag}, ${time(new Date(photo.taken || 0).toISOString())}. `, button(`Go to ${tag} with it`, () => onLoose(photo), { class: "target" }));
}

async function saveFile(walk, status) {
  const entries = (await all("entries")).filter((entry) => entry.house === walk.house && entry.state !== "office");
  const photos = [];
  for (const photo of (await all("photos")).filter((one) => one.house === walk.house && one.state !== "office")) {
    const bytes = await get("bytes", photo.id);
    if (bytes) photos.push({ id: photo.id, sha256: "", mime: bytes.mime, data: base64(bytes.buffer) });
  }
  const content = {
    format: "inspect-log/unsent/1",
    house: walk.house,
    device: walk.device.device,
    made_at: new Date().toISOString(),
    entries: entries.map((entry) => entry.text),
    photos,
  };
  const link = el("a", {
    href: URL.createObjectURL(new Blob([JSON.stringify(content)], { type: "application/json" })),
    download: `unsent-${new Date().toISOString().slice(0, 16).replaceAll(":", "")}.json`,
  });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  status.textContent = `Saved: ${entries.length} entries and ${photos.length} photos. They also stay on this phone.`;
  say(status.textContent);
}

function base64(buffer) {
  const bytes = new Uint8Array(buffer);
  let text = "";
  for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
  return btoa(text);
}
