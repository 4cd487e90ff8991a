// The bar that is always in sight: what is not yet sent, the theme, and a plain word when something could not be saved.

import { el } from "./dom.js";
import { NotHere } from "./later.js";
import { packAge } from "./words.js";

const THEMES = ["dark", "red", "light"];

let told = 0;

export function tellQueue(left, error, stuck, refused) {
  told = left;
  const line = document.getElementById("queue");
  const help = refused ? `: ${refused} Kept here.` : stuck ? "; some need help, see What is on this phone" : "";
  line.textContent = left ? `${left} not yet sent${error ? `: ${error.message}` : help}` : "All in the office";
  line.classList.toggle("caution", Boolean(left && (error || stuck)));
}

// How old what this phone knows of the house is.
export function showAge(keptAt) {
  document.getElementById("pack-age").textContent = packAge(keptAt);
}

// What the office says to a page of another age than its own; it stays until the page is loaded anew.
export function showPageAge(words) {
  document.getElementById("page-age")?.remove();
  if (words) document.querySelector(".field-bar").append(el("p", { id: "page-age", class: "caution", role: "status" }, words));
}

// Said while there is still time to send or to free some; tapping puts it away.
export function showRoom(words) {
  const line = document.getElementById("room");
  line.hidden = !words || line.dataset.put === "away";
  line.firstElementChild.textContent = words;
}

// A tap that could not be kept must never look as if it had been, nor one that was kept as if it had not.
export function notSaved(error) {
  const line = document.getElementById("not-saved");
  line.hidden = false;
  line.firstElementChild.textContent = troubleWords(error);
}

function troubleWords(error) {
  if (error instanceof NotHere) return `${error.message} What is marked as recorded is kept.`;
  if (error?.name === "QuotaExceededError") return "NOT saved: this phone's storage is full. Free some space, then tap again.";
  return "NOT saved: this phone did not keep it. Tap again; if that fails, write it on paper and reload the page.";
}

// In the same breath as the tap is acknowledged: what was just saved is here, and not in the office.
function tellSaved({ detail }) {
  told += detail;
  document.getElementById("queue").textContent = `${told} not yet sent`;
}

export function startBar(onSend) {
  window.addEventListener("walk-saved", tellSaved);
  const theme = document.getElementById("theme");
  const use = (name) => {
    document.documentElement.dataset.theme = name;
    theme.textContent = `Theme: ${name}`;
  };
  use(localStorage.getItem("inspect-log/theme") || "dark");
  theme.addEventListener("click", () => {
    const next = THEMES[(THEMES.indexOf(document.documentElement.dataset.theme) + 1) % THEMES.length];
    localStorage.setItem("inspect-log/theme", next);
    use(next);
  });
  document.getElementById("send").addEventListener("click", onSend);
  document.getElementById("not-saved").addEventListener("click", (event) => {
    event.currentTarget.hidden = true;
  });
  document.getElementById("room").addEventListener("click", (event) => {
    event.currentTarget.hidden = true;
    event.currentTarget.dataset.put = "away";
  });
  window.addEventListener("error", (event) => notSaved(event.error));
  window.addEventListener("unhandledrejection", (event) => notSaved(event.reason));
}
