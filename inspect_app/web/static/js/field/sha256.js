// SHA-256 (FIPS 180-4) of a text in hex. crypto.subtle is missing where the address is plain HTTP on a house's network.

const WORDS = 64;
const K = new Uint32Array(WORDS);
const START = new Uint32Array(8);

// The constants are the first 32 bits of the fractional parts of cube and square roots of the first primes.
(function fill() {
  let found = 0;
  for (let n = 2; found < WORDS; n += 1) {
    let prime = true;
    for (let d = 2; d * d <= n; d += 1) if (n % d === 0) prime = false;
    if (!prime) continue;
    K[found] = fraction(n ** (1 / 3));
    if (found < 8) START[found] = fraction(n ** 0.5);
    found += 1;
  }
})();

function fraction(root) {
  return ((root - Math.floor(root)) * 2 ** 32) >>> 0;
}

const turn = (word, by) => (word >>> by) | (word << (32 - by));

export function sha256(text) {
  const data = new TextEncoder().encode(text);
  const padded = new Uint8Array((((data.length + 8) >> 6) + 1) << 6);
  padded.set(data);
  padded[data.length] = 0x80;
  new DataView(padded.buffer).setBigUint64(padded.length - 8, BigInt(data.length) * 8n);
  const state = Uint32Array.from(START);
  for (let at = 0; at < padded.length; at += 64) mix(state, new DataView(padded.buffer, at, 64));
  return [...state].map((word) => word.toString(16).padStart(8, "0")).join("");
}

function mix(state, block) {
  const w = new Uint32Array(WORDS);
  for (let i = 0; i < 16; i += 1) w[i] = block.getUint32(i * 4);
  for (let i = 16; i < WORDS; i += 1) {
    const low = turn(w[i - 15], 7) ^ turn(w[i - 15], 18) ^ (w[i - 15] >>> 3);
    const high = turn(w[i - 2], 17) ^ turn(w[i - 2], 19) ^ (w[i - 2] >>> 10);
    w[i] = w[i - 16] + low + w[i - 7] + high;
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let i = 0; i < WORDS; i += 1) {
    const first = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + K[i] + w[i]) | 0;
    const second = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + first) | 0, c, b, a, (first + second) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, i) => {
    state[i] += word;
  });
}
