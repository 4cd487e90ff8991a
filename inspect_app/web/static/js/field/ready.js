// Is this phone ready? Each condition in a plain sentence, before anyone climbs.

import { button, el, focusHeading, show } from "./dom.js";
import { call } from "./api.js";
import { get, put, drop } from "./db.js";
import { packs } from "./memory.js";
import { LOW_WORDS, roomHere, roomWords } from "./room.js";
import { packAge, span } from "./words.js";

const CLOCK_OFF_MS = 5 * 60_000;

export async function readyScreen(walk, { onBack }) {
  const list = el("ul", { class: "plain stack", id: "ready" });
  show(
    el("h1", {}, "Is this phone ready?"),
    list,
    el("p", { class: "quiet" }, "Tether the phone. Add this page to the home screen and open it from there; storage there is kept apart from the browser's."),
    button("Back", onBack, { class: "target wide" }),
  );
  focusHeading();
  for (const check of CHECKS) {
    const { ok, words } = await check(walk).catch((error) => ({ ok: false, words: `Could not be checked: ${error.message}` }));
    list.append(el("li", { class: ok ? "note" : "caution" }, el("strong", {}, ok ? "Yes. " : "Not yet. "), words));
  }
}

// Asked again here, where somebody looks at the answer; a browser that leaves the question open is not waited for.
function askedAgain() {
  const late = new Promise((resolve) => setTimeout(() => resolve(false), 1500));
  return Promise.race([navigator.storage?.persist?.() ?? false, late]);
}

const CHECKS = [
  async () => ({
    ok: window.isSecureContext,
    words: window.isSecureContext
      ? "The address is trusted, so the page can open without a connection."
      : "This address is not trusted by the phone: the page cannot open without a connection. Keep it open; entries and photos are kept and sent all the same.",
  }),
  async () => {
    const worker = await navigator.serviceWorker?.getRegistration("/walk");
    const ok = Boolean(worker?.active);
    return { ok, words: ok ? "The page itself is on this phone." : "The page itself is not on this phone yet. Reload it once while there is a connection." };
  },
  async (walk) => {
    const kept = await packs.get(walk.house);
    const words = kept ? `House and checklists of ${walk.pack.house.name} are on this phone, ${packAge(kept.kept_at)}.` : "House and checklists are not on this phone yet.";
    return { ok: Boolean(kept), words };
  },
  async () => {
    const bytes = new ArrayBuffer(1 << 20);
    await put("meta", bytes, "write-test");
    const back = await get("meta", "write-test");
    await drop("meta", "write-test");
    return { ok: back?.byteLength === 1 << 20, words: "This phone keeps what is written to it." };
  },
  async () => {
    const persisted = (await navigator.storage?.persisted?.()) || (await askedAgain());
    return { ok: Boolean(persisted), words: persisted ? "The browser has promised to keep this storage." : "The browser may clear this storage when the phone runs full or the page is unused for a week. Send what you recorded the same day." };
  },
  async (walk) => {
    const room = await roomHere(Boolean(walk.pack.house.keep_originals));
    return { ok: !room?.low, words: `${roomWords(room)}${room?.low ? ` ${LOW_WORDS}` : ""}` };
  },
  async (walk) => {
    const { now } = await call("/api/v1/health", { token: walk.device.token, seconds: 8 });
    const off = Math.abs(Date.parse(now) - Date.now());
    return off > CLOCK_OFF_MS
      ? { ok: false, words: `The phone's clock is ${span(off)} off the office's. Set it; both times are kept.` }
      : { ok: true, words: "The office answers, and the clocks agree." };
  },
  async () => {
    const battery = await navigator.getBattery?.();
    if (!battery) return { ok: true, words: "Look at the battery: this browser does not tell." };
    return { ok: battery.level > 0.5 || battery.charging, words: `Battery at ${Math.round(battery.level * 100)} %.` };
  },
];
