// Talking to the field API with the device's token; an answer that is not JSON is never taken for success.

export class Refused extends Error {
  constructor(status, message) {
    super(message);
    this.status = status;
  }
}

export async function call(path, { token, method = "GET", body, headers = {}, seconds = 30, whole = false } = {}) {
  const abort = new AbortController();
  const timer = setTimeout(() => abort.abort(), seconds * 1000);
  try {
    const answer = await fetch(path, {
      method,
      body,
      headers: { ...headers, ...(token ? { Authorization: `Bearer ${token}` } : {}) },
      credentials: token ? "omit" : "same-origin",
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
    throw new Refused(0, "No connection to the office. Everything recorded is kept here.");
  } finally {
    clearTimeout(timer);
  }
}

export async function pair(house) {
  const { csrf } = await call("/api/v1/pairing");
  const label = navigator.userAgentData?.platform || navigator.platform || "browser";
  return call("/api/v1/devices", {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRF-Token": csrf },
    body: JSON.stringify({ house, label }),
  });
}
