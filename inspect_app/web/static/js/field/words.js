// Words the screens share.

export const STATES = { static: "at rest", moving: "moving", loaded: "loaded", isolated: "isolated" };
export const WAYS = { handled: "handled", seen_close: "seen close", seen_from_afar: "seen from afar", heard: "heard" };
export const GRADES = { watch: "watch", repair_by: "repair by date", restrict: "restrict", stop_use: "stop use" };
export const RESULTS = {
  no_finding: "No finding",
  finding: "Finding",
  not_reached: "Not reached",
  not_applicable: "Not applicable",
};
export const PLACES = { here: "on this phone", office: "in the office", held: "held there" };
export const VANTAGES = {
  deck: "Deck",
  rail: "Locking rail",
  bridge: "Loading bridge",
  grid: "Grid",
  batten: "Batten at working height",
  machine: "Machine",
  access: "Access",
};

// Shown at the head of each stretch; they follow what is running and what is locked.
export const CAUTIONS = {
  static: "At rest: set locked and ringed, nobody operates it. Look at the screen only standing still.",
  moving: "RUNNING: nobody near, hands off every sheave, line and arbor. One person operates, one watches and calls.",
  loaded: "UNDER LOAD: hands off. Nobody under the batten, nobody beside the arbor.",
  isolated: "Isolated: locks on, yours among them, try the start before a hand goes in.",
};

export const BEFORE_CLIMBING = [
  "Stage below is clear, and somebody on the deck keeps it so.",
  "Every tool and this phone are tethered; pockets are empty.",
  "Nobody goes up alone; somebody knows who is up and when they come down.",
  "Loads are off or balanced; each set is locked and ringed.",
  "Motorised sets are locked out, one lock for each person.",
  "Everybody going up knows where the open wells and hatches are.",
  "Stop if unsure. Local codes, the maker's instructions and a qualified person's judgement come first.",
];

// By hand: the browser's own way sets up a calendar first, which a slow phone needs a moment for.
export function time(iso) {
  const at = new Date(iso);
  return [at.getHours(), at.getMinutes()].map((part) => String(part).padStart(2, "0")).join(":");
}

// How long a span of time is, in the unit that people would say it in.
export function span(ms) {
  const minutes = Math.round(ms / 60_000);
  if (minutes >= 2 * 24 * 60) return `${Math.round(minutes / (24 * 60))} days`;
  return minutes >= 2 * 60 ? `${Math.round(minutes / 60)} hours` : `${minutes} minutes`;
}

export function list(words) {
  return words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
}

// How old the pack is: the time of today, or else how many days.
export function packAge(keptAt, now = new Date()) {
  if (!keptAt) return "just fetched";
  const then = new Date(keptAt);
  const days = Math.round((new Date(now).setHours(0, 0, 0, 0) - new Date(then).setHours(0, 0, 0, 0)) / 86_400_000);
  if (days < 1) return `as of ${time(keptAt)}`;
  return days === 1 ? "1 day old" : `${days} days old`;
}
