// The words to say by radio, with who knows: as long as the office has not answered, only this phone, whatever the browser says of its signal.

import { el, say } from "./dom.js";
import { onSending } from "./sending.js";

const WAITING = "Only this phone knows. ";
const ARRIVED = "The office has it. ";
const arrived = new Set();
let shown = null; // the entry whose words are on the screen, and the place that says who knows

onSending(({ verdicts = [] }) => {
  for (const { id } of verdicts) arrived.add(id); // what is held acts on arrival as well
  if (!shown || !arrived.has(shown.id)) return;
  if (shown.place.isConnected) {
    shown.place.textContent = ARRIVED;
    say(ARRIVED);
  }
  shown = null;
});

export function radioWords(id, words) {
  const place = el("span", {}, arrived.has(id) ? ARRIVED : WAITING);
  shown = { id, place };
  return el("p", { class: "caution" }, place, `Say it by radio now: ${words}`);
}
