// From a part's number to the place of the walk where it is looked at.

import { rowsOf } from "./progress.js";

// {list, stop, state, screen, row}, or null when no stretch of the walk looks at the part.
export function placeOf(walk, part) {
  for (const { list, stop } of walk.stops()) {
    const [state] = walk.states(list, stop);
    if (!state) continue;
    for (const screen of rowsOf(walk, list, stop, walk.place.order)) {
      const row = screen.rows.find((one) => one.parts.includes(part));
      if (row) return { list, stop, state, screen, row };
    }
  }
  return null;
}

export function findPart(walk, part, go, otherwise) {
  const place = placeOf(walk, part);
  if (!place) return otherwise();
  const { list, stop, state, screen, row } = place;
  go(list, stop, state, { screen: screen.key });
  document.querySelector(`[data-row="${row.key}"]`)?.scrollIntoView({ block: "center" });
  document.querySelector(`[data-row="${row.key}"]`)?.focus({ preventScroll: true });
  return null;
}
