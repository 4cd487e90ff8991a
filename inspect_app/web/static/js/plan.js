// Zooms the plan by buttons, keys, two fingers and Ctrl with the wheel. Moving is the window's own scrolling, so that
// finger, wheel, arrow keys and scroll bars do what they do everywhere; without this script the picture only scrolls.

const STEP = 1.4;
const MOST = 12;

const frame = document.querySelector(".plan-window");
const picture = frame?.querySelector("svg");
const size = new CSSStyleSheet(); // one rule for the width that the picture is zoomed to
document.adoptedStyleSheets.push(size);

/** Zoom to `wanted` times the window's width and keep the point at (clientX, clientY) where it is. */
function zoomTo(wanted, clientX, clientY) {
  const box = frame.getBoundingClientRect();
  const atX = clientX === undefined ? frame.clientWidth / 2 : clientX - box.left;
  const atY = clientY === undefined ? frame.clientHeight / 2 : clientY - box.top;
  const old = picture.getBoundingClientRect().width;
  const width = Math.min(MOST, Math.max(1, wanted)) * frame.clientWidth;
  const shareX = (frame.scrollLeft + atX) / old;
  const shareY = (frame.scrollTop + atY) / old;
  size.replaceSync(`.plan-window.is-scripted svg { width: ${width}px; }`);
  frame.scrollLeft = shareX * width - atX;
  frame.scrollTop = shareY * width - atY;
}

function zoom() {
  return picture.getBoundingClientRect().width / frame.clientWidth;
}

function onKey(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const wanted = { "+": zoom() * STEP, "=": zoom() * STEP, "-": zoom() / STEP, "0": 1 }[event.key];
  if (wanted === undefined) return;
  event.preventDefault();
  zoomTo(wanted);
}

function onWheel(event) {
  if (!event.ctrlKey && !event.metaKey) return;
  event.preventDefault();
  zoomTo(zoom() * Math.exp(-event.deltaY / 300), event.clientX, event.clientY);
}

/** Two fingers: the picture follows their distance and their middle. */
function followFingers() {
  let start = null;
  const apart = ([a, b]) => Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
  frame.addEventListener("touchstart", (event) => {
    start = event.touches.length === 2 ? { apart: apart(event.touches), zoom: zoom() } : null;
  }, { passive: true });
  frame.addEventListener("touchmove", (event) => {
    if (!start || event.touches.length !== 2) return;
    event.preventDefault();
    const [a, b] = event.touches;
    zoomTo(start.zoom * apart(event.touches) / start.apart, (a.clientX + b.clientX) / 2, (a.clientY + b.clientY) / 2);
  }, { passive: false });
  frame.addEventListener("touchend", () => { start = null; }, { passive: true });
}

/** Bring what the address asks for into view, close enough to be read. */
function showFound() {
  const found = picture.querySelector(".found");
  if (!found) return;
  zoomTo(Math.max(zoom(), 1400 / frame.clientWidth));
  const box = found.getBoundingClientRect();
  const window = frame.getBoundingClientRect();
  frame.scrollLeft += box.left - window.left - frame.clientWidth / 2;
  frame.scrollTop += box.top - window.top - frame.clientHeight / 2;
}

if (picture) {
  const tools = document.querySelector(".plan-tools");
  tools.hidden = false;
  frame.classList.add("is-scripted");
  tools.addEventListener("click", (event) => {
    const asked = event.target.closest("[data-zoom]")?.dataset.zoom;
    if (asked) zoomTo({ in: zoom() * STEP, out: zoom() / STEP, all: 1 }[asked]);
  });
  frame.addEventListener("keydown", onKey);
  frame.addEventListener("wheel", onWheel, { passive: false });
  followFingers();
  showFound();
}
