// Everybody is down: the facts asked before a walk can be reviewed, and how many entries this device made.

import { button, el, field, focusHeading, say, show } from "./dom.js";
import { countWaiting, entriesOf } from "./outbox.js";
import { send } from "./sending.js";
import { sha256 } from "./sha256.js";

export function closingScreen(walk, { onBack, onClosed }) {
  const form = el("form", { class: "stack", novalidate: true });
  const error = el("p", { class: "caution", role: "alert", hidden: true });
  const down = el("textarea", { name: "down", rows: 3, placeholder: "Name, time" });
  down.value = `${walk.pack.me.name}, ${new Date().toTimeString().slice(0, 5)}`;
  const tools = el("input", { type: "checkbox", name: "tools" });
  const locked = el("input", { type: "checkbox", name: "locked" });
  const left = el("input", { name: "left", maxlength: 300, autocomplete: "off" });
  const note = el("textarea", { name: "closing_note", rows: 2, maxlength: 1000 });
  form.append(
    el("h1", {}, "Close the walk"),
    field("Each person down, and when (one per line: name, time)", down),
    el("label", { class: "check" }, tools, "Tools were counted and none is left above"),
    el("label", { class: "check" }, locked, "Each set that was moved is locked, ringed and left in weight"),
    field("Locks and tags left on", left, "Where and whose; write none if there are none."),
    field("Anything else", note),
    error,
    el("button", { type: "submit", class: "target main wide" }, "Close and go to review"),
    button("Back", onBack, { class: "target wide" }),
  );
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const people = down.value.split("\n").map((line) => line.trim()).filter(Boolean);
    const wrong = !people.length ? "Name each person who is down, with the time." : !left.value.trim() ? "Say which locks and tags are left on, or none." : "";
    error.hidden = !wrong;
    error.textContent = wrong;
    if (wrong) return;
    await close(walk, people, { tools: tools.checked, locked: locked.checked, left: left.value.trim(), note: note.value.trim() }, error, onClosed);
  });
  show(form);
  focusHeading();
}

async function close(walk, people, facts, error, onClosed) {
  try {
    const own = await entriesOf(walk.id);
    await walk.save(
      walk.entry("closing", {
        count: own.length,
        last_seq: Math.max(0, ...own.map((entry) => entry.seq)),
        ids_sha256: sha256(own.map((entry) => entry.id).sort().join("\n")),
        people_down: people.map((line) => {
          const [name, ...rest] = line.split(",");
          return { name: name.trim(), at: rest.join(",").trim() };
        }),
        tools_counted: facts.tools,
        sets_locked: facts.locked,
        locks_left: facts.left,
        note: facts.note,
      }),
    );
    await send(walk.house, walk.device.token, walk.pack.house.keep_originals);
    if (await countWaiting(walk.house)) throw new Error("Closed, and kept on this phone. It is sent by itself when there is a connection; then review it in the office.");
    say("Walk closed.");
    onClosed();
  } catch (failure) {
    error.hidden = false;
    error.textContent = failure.message;
  }
}
