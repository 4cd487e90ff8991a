// Which house? Those that this phone has a pack of, also without a connection, each with what is not yet sent.

import { button, el, focusHeading, show } from "./dom.js";
import { housesHere } from "./house.js";
import { packAge } from "./words.js";

export async function housesScreen({ onHouse, form }) {
  const houses = await housesHere();
  const line = ({ house, name, keptAt, left }) =>
    el(
      "li",
      {},
      el(
        "button",
        { type: "button", class: "target wide", "data-house": house, onclick: () => onHouse(house) },
        el("strong", {}, name),
        el("span", { class: "quiet" }, `House and checklists ${packAge(keptAt)}. ${left ? `${left} not yet sent.` : "All in the office."}`),
      ),
    );
  show(
    el("h1", {}, "Which house?"),
    houses.length ? el("ul", { class: "plain stack", id: "houses" }, houses.map(line)) : null,
    el("p", {}, el("a", { class: "target wide", href: "/" }, houses.length ? "Another house: choose it while there is a connection" : "Choose a house while there is a connection")),
    form,
  );
  focusHeading();
}
