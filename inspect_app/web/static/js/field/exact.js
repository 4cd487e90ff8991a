// A figure against the limits of a pack, compared without rounding: at the edge of a limit phone and office must agree.

const EXCEEDED = {
  more_than: (order) => order > 0,
  at_least: (order) => order >= 0,
  less_than: (order) => order < 0,
  at_most: (order) => order <= 0,
};

// "outside", "inside", "cannot_tell" within half a step of the gauge, "none" when the pack has no limit in this unit or
// the figure is too far from it to be of such a part.
export function compare(plain, unit, step, limit, bounds) {
  const at = edgeIn(limit, unit, bounds);
  if (!at || !EXCEEDED[limit.op]) return "none"; // of a newer office: said by nobody here rather than wrongly
  const [edge, value] = [ratio(at), ratio(plain)];
  const twice = minus(value, edge).map((part, n) => (n ? part : 2n * (part < 0n ? -part : part)));
  const half = step && unit !== "count" ? ratio(step) : null;
  if (half && half[0] > 0n && order(twice, half) <= 0) return "cannot_tell";
  if (EXCEEDED[limit.op](order(value, edge))) return "outside";
  const tooFar = bounds?.[limit.bound]?.[unit]?.too_far;
  return tooFar && order(value, ratio(tooFar)) >= 0 ? "none" : "inside";
}

// The office has worked the limit out in every unit that fits it; an older pack has it in its own unit only.
function edgeIn(limit, unit, bounds) {
  return bounds?.[limit.bound]?.[unit]?.at ?? (unit === limit.unit ? limit.value : "");
}

// "19/80" or "0.2375" as [numerator, denominator], the second above zero.
function ratio(text) {
  if (text.includes("/")) return text.split("/").map(BigInt);
  const [whole, places = ""] = text.split(".");
  return [BigInt(whole + places), 10n ** BigInt(places.length)];
}

const minus = ([a, b], [c, d]) => [a * d - c * b, b * d];

function order([a, b], [c, d]) {
  const [one, other] = [a * d, c * b];
  return one < other ? -1 : one > other ? 1 : 0;
}
