// Talking to the field API with the device's token; an answer that is not JSON is never taken for success.

export class Refused extends Error {
  constructor(status, message) {
    super(message);
    this.status = status;
  }
}

export async function call(path, { token, method = "GET", body, headers = {}, seconds = 30, whole = false, bare = false } = {}) {
  const abort = new AbortController();
  const timer = setTimeout(() => abort.abort(), seconds * 1000);
  try {
    const answer = await fetch(path, {
      method,
      body,
      headers: { ...headers, ...(token ? { Authorization: `Bearer ${token}` } : {}) },
      credentials: token || bare ? "omit" : "same-origin",
      redirect: "error",
      cache: "no-store",
      signal: abort.signal,
    });
    if (whole && answer.status === 304) return { status: 304 };
    const type = answer.headers.get("content-type") || "";
    if (!type.startsWith("application/json")) throw new Refused(answer.status, "This network did not let the office answer.");
    const data = await answer.json();
    if (!answer.ok) throw new Refused(answer.status, data.message || "The office refused this.");
    return whole ? { status: answer.status, etag: answer.headers.get("etag"), data } : data;
  } catch (error) {
    if (error instanceof Refused) throw error;
    throw new Refused(0, "No connection to the office. All is kept here.");
  } finally {
    clearTimeout(timer);
  }
}

const label = () => navigator.userAgentData?.platform || navigator.platform || "browser";

function askToPair(fields, headers, bare) {
  const body = JSON.stringify({ label: label(), ...fields });
  return call("/api/v1/devices", { method: "POST", headers: { "Content-Type": "application/json", ...headers }, body, bare });
}

// From a signed-in session; `device` is the id this phone had before, which it keeps.
export async function pair(house, device) {
  const { csrf } = await call("/api/v1/pairing");
  return askToPair({ house, device }, { "X-CSRF-Token": csrf }, false);
}

// By a code read off another screen: nobody need be signed in here.
export const pairByCode = (code, device) => askToPair({ code, device }, {}, true);
