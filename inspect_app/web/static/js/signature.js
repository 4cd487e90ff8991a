// A drawn signature: moves and lines of whole numbers, kept in a hidden field of the form.

const field = document.getElementById("drawn");
const holder = document.querySelector("[data-signature]");
const pad = holder.querySelector("svg");
const path = pad.querySelector("path");
const MOST = 1900; // points; the server takes no more than 2,000

let strokes = field.value ? [field.value] : [];
let points = 0;

function place(event) {
  const box = pad.getBoundingClientRect();
  const x = Math.round(((event.clientX - box.left) / box.width) * 320);
  const y = Math.round(((event.clientY - box.top) / box.height) * 120);
  return [Math.min(320, Math.max(0, x)), Math.min(120, Math.max(0, y))];
}

function draw() {
  field.value = strokes.join(" ");
  path.setAttribute("d", field.value);
}

let last = null;

pad.addEventListener("pointerdown", (event) => {
  pad.setPointerCapture(event.pointerId);
  last = place(event);
  strokes.push(`M ${last[0]} ${last[1]} L ${last[0]} ${last[1]}`);
  points += 2;
  draw();
  event.preventDefault();
});

pad.addEventListener("pointermove", (event) => {
  if (!last || points >= MOST) return;
  const next = place(event);
  if (Math.hypot(next[0] - last[0], next[1] - last[1]) < 2) return;
  strokes.push(`L ${next[0]} ${next[1]}`);
  points += 1;
  last = next;
  draw();
});

for (const name of ["pointerup", "pointercancel"]) pad.addEventListener(name, () => (last = null));

holder.querySelector("[data-clear]").addEventListener("click", () => {
  strokes = [];
  points = 0;
  draw();
});

holder.hidden = false;
draw();
