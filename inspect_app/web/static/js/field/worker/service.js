// The service worker of the walk page: keeps the whole app on the phone, one version at a time, and nothing else.
//
// A classic script. The server puts two lines before it: VERSION, a digest over everything below and all files, and
// FILES, an object {pathname: SHA-256 in hex}. An address with ?v= stands for the same file as one without.
// Entries, photos and packs never pass through here: what starts with /api/ is left to the page and the network.

const PREFIX = "walk-app/";
const CACHE = PREFIX + VERSION;
const SHELL = "/walk";

async function digestOf(bytes) {
  const digest = await crypto.subtle.digest("SHA-256", bytes);
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// One file, byte for byte the one that this version was made of: what the page has just loaded will do, and whatever
// else the browser had kept is fetched anew. Throws when the server has another one.
async function fetchFile(path) {
  for (const cache of ["force-cache", "reload"]) {
    const response = await fetch(path, { cache, credentials: "omit", redirect: "error" });
    if (response.ok && (await digestOf(await response.clone().arrayBuffer())) === FILES[path]) return [path, response];
    if (cache === "reload") throw new Error(`${path}, answered with ${response.status}, is not the file of version ${VERSION}`);
  }
  return null;
}

// All or nothing: every file is here and checked before the first is kept.
async function install() {
  const files = await Promise.all(Object.keys(FILES).map(fetchFile));
  try {
    const cache = await caches.open(CACHE);
    await Promise.all(files.map(([path, response]) => cache.put(path, response)));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

async function dropOlder() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(PREFIX) && name !== CACHE).map((name) => caches.delete(name)));
  await self.clients.claim();
}

// The kept file that answers a request, or "" for what this worker leaves alone.
function pathFor(request) {
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin || url.pathname.startsWith("/api/")) return "";
  if (request.mode === "navigate") {
    return url.pathname === SHELL || url.pathname.startsWith(`${SHELL}/`) ? SHELL : "";
  }
  return Object.hasOwn(FILES, url.pathname) ? url.pathname : "";
}

// A browser may have dropped the cache: then the network is asked, as without a worker.
let opening = null;
async function keptOrFetched(path, request) {
  opening ??= caches.open(CACHE); // once for the twenty files of a page
  try {
    const kept = await (await opening).match(path);
    if (kept) return kept;
  } catch {
    opening = null; // to be opened again for the next file
  }
  return fetch(request);
}

async function countKept() {
  const cache = await caches.open(CACHE);
  return (await cache.keys()).length;
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(dropOlder()));
self.addEventListener("fetch", (event) => {
  const path = pathFor(event.request);
  if (path) event.respondWith(keptOrFetched(path, event.request));
});
// Pages say "skip waiting" when nobody walks, or ask "what is kept" through a port: {version, files, kept}.
self.addEventListener("message", (event) => {
  if (event.data === "skip waiting") self.skipWaiting();
  if (event.data === "what is kept" && event.ports[0]) {
    const answer = (kept) => event.ports[0].postMessage({ version: VERSION, files: Object.keys(FILES).length, kept });
    event.waitUntil(countKept().then(answer, () => answer(0)));
  }
});
