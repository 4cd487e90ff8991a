// The service worker: the page opens without a connection; a new version waits until no walk is open.

const WORKER_SECONDS = 8;

export async function watchForNewVersion(mayChange) {
  if (!("serviceWorker" in navigator)) return;
  try {
    const registration = await navigator.serviceWorker.register("/walk-worker.js", { scope: "/walk", updateViaCache: "none" });
    const offer = () => {
      const line = document.getElementById("new-version");
      line.hidden = !(registration.waiting && navigator.serviceWorker.controller && mayChange()); // never in the middle of a walk
      line.onclick = () => take(registration);
    };
    offer();
    window.addEventListener("walk-left", offer);
    window.addEventListener("walk-opened", offer);
    registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", offer));
  } catch {
    // An address that is not trusted: the readiness page says what does not work there.
  }
}

// Once the worker has fetched everything, nothing needs to be fetched twice; where there is none, the page does it.
export function fetchedByWorker() {
  const late = new Promise((resolve) => setTimeout(resolve, WORKER_SECONDS * 1000));
  return Promise.race([navigator.serviceWorker?.ready, late]);
}

function take(registration) {
  navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
  registration.waiting?.postMessage("skip waiting");
}
