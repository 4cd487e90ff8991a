// The service worker: the page opens without a connection; a new version waits until no walk is open.

export async function watchForNewVersion(mayChange) {
  if (!("serviceWorker" in navigator)) return;
  try {
    const registration = await navigator.serviceWorker.register("/walk-worker.js", { scope: "/walk", updateViaCache: "none" });
    const offer = () => registration.waiting && navigator.serviceWorker.controller && show(registration, mayChange);
    offer();
    registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", offer));
  } catch {
    // An address that is not trusted: the readiness page says what does not work there.
  }
}

function show(registration, mayChange) {
  const line = document.getElementById("new-version");
  line.hidden = false;
  line.onclick = () => {
    if (!mayChange()) {
      line.textContent = "A new version waits: close or leave the walk first";
      return;
    }
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
    registration.waiting?.postMessage("skip waiting");
  };
}
