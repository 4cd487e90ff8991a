// The only file that opens IndexedDB: names, version, upgrade. A write resolves when its transaction has completed.

const NAME = "inspect-log";
const VERSION = 1;
let opening = null;

// Upgrades only ever add stores; nothing that was recorded is dropped by a new version.
function upgrade(db, from) {
  if (from >= 1) return;
  db.createObjectStore("meta");
  db.createObjectStore("packs", { keyPath: "house" });
  db.createObjectStore("walks", { keyPath: "id" });
  const entries = db.createObjectStore("entries", { keyPath: "id" });
  entries.createIndex("state", ["house", "state"]);
  entries.createIndex("walk", "walk");
  const photos = db.createObjectStore("photos", { keyPath: "id" });
  photos.createIndex("state", ["house", "state"]);
  db.createObjectStore("bytes", { keyPath: "id" });
  db.createObjectStore("drafts", { keyPath: "key" });
  db.createObjectStore("ballast", { keyPath: "n" });
  db.createObjectStore("thumbs", { keyPath: "id" });
}

function open(version = VERSION) {
  return new Promise((resolve, reject) => {
    const request = version ? indexedDB.open(NAME, version) : indexedDB.open(NAME);
    request.onupgradeneeded = (event) => upgrade(request.result, event.oldVersion);
    request.onerror = () => {
      // A newer page has upgraded it; upgrades only add, so this page goes on with what is there.
      if (request.error?.name === "VersionError" && version) open(null).then(resolve, reject);
      else reject(request.error);
    };
    request.onsuccess = () => {
      const db = request.result;
      const forget = () => {
        opening = null;
      };
      db.onversionchange = () => {
        db.close();
        forget();
      };
      db.onclose = forget; // some phones cut the connection while the page is in the background
      resolve(db);
    };
  });
}

// Settles once the database is open, or cannot be opened.
export function isOpen() {
  opening ??= open();
  return opening;
}

// `work(transaction)` may return a request; its result is given back once everything is committed.
export async function transact(stores, mode, work, durability = "strict") {
  for (let attempt = 0; ; attempt += 1) {
    opening ??= open();
    let transaction;
    try {
      transaction = (await opening).transaction(stores, mode, mode === "readwrite" ? { durability } : undefined);
    } catch (error) {
      opening = null;
      if (attempt === 0 && ["InvalidStateError", "UnknownError"].includes(error.name)) continue;
      throw error;
    }
    return new Promise((resolve, reject) => {
      let result;
      transaction.oncomplete = () => resolve(result instanceof IDBRequest ? result.result : result);
      transaction.onabort = () => reject(transaction.error ?? new DOMException("not saved", "AbortError"));
      try {
        result = work(transaction);
        if (mode === "readonly" && result instanceof IDBRequest) result.onsuccess = () => resolve(result.result); // nothing to be committed
      } catch (error) {
        transaction.abort(); // or what was put before would be kept without the rest
        reject(error);
      }
    });
  }
}

export const get = (store, key) => transact([store], "readonly", (t) => t.objectStore(store).get(key));
export const all = (store) => transact([store], "readonly", (t) => t.objectStore(store).getAll());
export const by = (store, index, key, most) => transact([store], "readonly", (t) => t.objectStore(store).index(index).getAll(key, most));
export const count = (store, index, key) =>
  transact([store], "readonly", (t) => (index ? t.objectStore(store).index(index) : t.objectStore(store)).count(key));
export const put = (store, value, key) => transact([store], "readwrite", (t) => t.objectStore(store).put(value, key));
export const drop = (store, key) => transact([store], "readwrite", (t) => t.objectStore(store).delete(key));
