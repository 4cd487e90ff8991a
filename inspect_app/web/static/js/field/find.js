// From a part's number to the place of the walk where it is looked at.

import { rowsOf } from "./progress.js";

export function findPart(walk, part, go, otherwise) {
  for (const { list, stop } of walk.stops()) {
    for (const screen of rowsOf(walk, list, stop, walk.place.order)) {
      const row = screen.rows.find((one) => one.parts.includes(part));
      const [state] = walk.states(list, stop);
      if (!row || !state) continue;
      go(list, stop, state, { screen: screen.key });
      document.querySelector(`[data-row="${row.key}"]`)?.scrollIntoView({ block: "center" });
      document.querySelector(`[data-row="${row.key}"]`)?.focus({ preventScroll: true });
      return;
    }
  }
  otherwise();
}
