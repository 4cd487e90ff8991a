// A figure as it is typed (12.5, 41 1/2, 3'-5 1/2") as plain decimal text, by the same rules as domain/typed_figure.py.

const PLACES = 6; // that an entry keeps; a sixty-fourth has six
const INCHES_IN = { in: 1n, ft: 12n }; // a tape in these is read in fractions
const MARKS = {
  "′": "'", "’": "'", "″": '"', "”": '"', "⁄": "/", "\u00a0": " ",
  "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
};
const PLAIN = /^-?\d{1,9}(?:[.,]\d{1,6})?$/;
const THOUSANDS = /^-?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d*)?$/;
const TAPE = /^(?:(?<feet>\d{1,5})' ?-? ?)?(?:(?:(?<whole>\d{1,6})(?: | ?- ?))?(?<top>\d{1,3}) ?\/ ?(?<bottom>\d{1,3})|(?<plain>\d{1,6}(?:[.,]\d{1,6})?))?(?<sign>"?)$/;

export const readByTape = (unit) => unit in INCHES_IN;

// {value} or {problem}, in words.
export function decimalFigure(typed, unit) {
  const shown = typed.trim();
  if (THOUSANDS.test(shown)) return { problem: `${shown}: a comma there can mean two things. Type it as 1200 or 1.2.` };
  if (PLAIN.test(shown)) return allowed(shown.replace(",", "."), unit);
  const size = readByTape(unit) ? byTape(shown, unit) : null;
  if (!size) return { problem: `${shown || "Nothing"} is not a number. Type it as ${readByTape(unit) ? "41.5, 41 1/2 or 3'-5 1/2\"" : "6.35"}.` };
  const value = ending(size);
  return value === null ? { problem: `${shown} does not end as a decimal in ${unit}. Type it in decimals.` } : { value };
}

function allowed(value, unit) {
  if (value.startsWith("-") && unit !== "dB") return { problem: `${value} is negative; this measure cannot be. Check the sign.` };
  if (unit === "count" && value.includes(".")) return { problem: `${value} is not a whole number; a count is 0, 1, 2 and so on.` };
  return { value };
}

// Inches or feet with a fraction, or feet and inches, as [numerator, denominator]; null when it is neither.
function byTape(shown, unit) {
  const clean = [...shown].map((sign) => MARKS[sign] ?? sign).join("").replace(/\s+/g, " ").trim();
  const match = TAPE.exec(clean)?.groups;
  if (!match || !(match.feet || match.top || match.plain)) return null;
  let [top, bottom] = [0n, 1n];
  if (match.plain) [top, bottom] = decimal(match.plain);
  else if (match.top) {
    [top, bottom] = [BigInt(match.top), BigInt(match.bottom)];
    if (bottom === 0n || (match.whole && top >= bottom)) return null;
    top += BigInt(match.whole || 0) * bottom;
  }
  if (match.feet === undefined && !match.sign) return [top, bottom];
  if (match.feet && top >= 12n * bottom) return null;
  return [BigInt(match.feet || 0) * 12n * bottom + top, bottom * INCHES_IN[unit]];
}

function decimal(text) {
  const [whole, part = ""] = text.replace(",", ".").split(".");
  return [BigInt(whole + part), 10n ** BigInt(part.length)];
}

function ending([top, bottom]) {
  const scaled = top * 10n ** BigInt(PLACES);
  if (scaled % bottom) return null;
  const digits = (scaled / bottom).toString().padStart(PLACES + 1, "0");
  return `${digits.slice(0, -PLACES)}.${digits.slice(-PLACES)}`.replace(/0+$/, "").replace(/\.$/, "");
}
