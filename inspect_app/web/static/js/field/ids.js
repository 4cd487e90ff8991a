// UUIDv7 (RFC 9562) by hand: works without a secure context, and ascends also when the clock steps back.

let lastMs = 0;
let counter = 0;

export function uuid7(now = Date.now()) {
  if (now > lastMs) {
    lastMs = now;
    counter = crypto.getRandomValues(new Uint16Array(1))[0] & 0x3ff;
  } else {
    counter += 1;
    if (counter > 0xfff) {
      lastMs += 1;
      counter = 0;
    }
  }
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let i = 0; i < 6; i += 1) bytes[i] = Math.floor(lastMs / 2 ** (8 * (5 - i))) & 0xff;
  bytes[6] = 0x70 | (counter >> 8);
  bytes[7] = counter & 0xff;
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}
