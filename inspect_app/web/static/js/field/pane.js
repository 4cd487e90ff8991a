// A pane over the whole screen with a live picture and a way out; what opened it has the focus again afterwards.

import { borrow, cameraWords, giveBack } from "./camera.js";
import { button, el } from "./dom.js";

// `below` are the controls under the picture, `over` what lies upon it. Returns {video, tell, close}.
export function openPane(title, { over = [], below = [], otherwise, onOpen, onClose = () => {} }) {
  const heading = el("h2", { id: "pane-title" }, title);
  const told = el("p", { class: "pane-told", role: "status" });
  const video = el("video", { playsinline: true, muted: true, autoplay: true, "aria-label": "Live picture of the rear camera" });
  video.muted = true; // the attribute alone is not heeded on an element made by a script
  const close = () => dialog.open && dialog.close();
  const dialog = el(
    "dialog",
    { class: "pane", "aria-labelledby": "pane-title" },
    el("header", {}, heading, button("Close", close, { class: "target" })),
    el("div", { class: "pane-view" }, video, over),
    told,
    below,
  );
  const tell = (words) => {
    told.textContent = words;
  };
  dialog.addEventListener("close", () => {
    giveBack(dialog);
    video.srcObject = null;
    dialog.remove();
    onClose();
  });
  document.body.append(dialog);
  dialog.showModal();
  borrow(dialog, close)
    .then((stream) => {
      if (!dialog.open) return giveBack(dialog);
      video.srcObject = stream;
      return onOpen({ stream, video, tell, close });
    })
    .catch((error) => tell(cameraWords(error, otherwise)));
  return { video, tell, close };
}
