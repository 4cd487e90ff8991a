// The rear camera: one stream for whoever needs it, closed when nobody does any more or the page is out of sight.

const VIEW = { width: { ideal: 1920 }, height: { ideal: 1440 } };
const FULL = { width: { ideal: 4096 }, height: { ideal: 3072 } }; // without a shutter of its own the picture is a frame
const users = new Map();
let opening = null;

export const cameraHere = () => Boolean(window.isSecureContext && navigator.mediaDevices?.getUserMedia);

export const NO_CAMERA = "A live picture needs a browser that gives the page its camera, at an address the phone trusts.";

// Lends the stream to `user`. `onLost` is called when it ends without having been given back.
export async function borrow(user, onLost) {
  const video = { facingMode: { ideal: "environment" }, ...("ImageCapture" in window ? VIEW : FULL) };
  opening ??= navigator.mediaDevices.getUserMedia({ video, audio: false });
  const asked = opening;
  try {
    const stream = await asked;
    if (document.hidden || opening !== asked) {
      close(stream);
      throw new DOMException("the page is out of sight", "AbortError");
    }
    for (const track of stream.getTracks()) track.onended = () => lose(stream);
    users.set(user, onLost);
    return stream;
  } catch (error) {
    if (opening === asked) opening = null;
    throw error;
  }
}

export async function giveBack(user) {
  if (!users.delete(user) || users.size || !opening) return;
  const stream = opening;
  opening = null;
  close(await stream);
}

// What to say when there is no picture; `otherwise` is the way that needs none.
export function cameraWords(error, otherwise) {
  const why = {
    NotAllowedError: "The browser may not use the camera here. Allow it in the settings of this page.",
    NotFoundError: "This phone shows the browser no camera.",
    NotReadableError: "Another program holds the camera. Close it and try again.",
  };
  return `${why[error?.name] ?? "The camera did not open."} ${otherwise}`;
}

function close(stream) {
  for (const track of stream.getTracks()) {
    track.onended = null;
    track.stop();
  }
}

function lose(stream) {
  opening = null;
  close(stream);
  const told = [...users.values()];
  users.clear();
  for (const onLost of told) onLost();
}

document.addEventListener("visibilitychange", async () => {
  if (!document.hidden || !opening) return;
  const stream = await opening.catch(() => null);
  if (stream && document.hidden) lose(stream);
});
