// First screen: go on with an open walk, or begin a new one.

import { button, el, focusHeading, show } from "./dom.js";

export function startScreen(walk, { onOpen, onNew }) {
  const open = walk.pack.walks.filter((item) => item.state !== "sealed");
  show(
    el("h1", {}, walk.pack.house.name),
    walk.pack.house.demo ? el("p", { class: "caution" }, "Demonstration, invented house") : null,
    el("p", { class: "quiet" }, `You are ${walk.pack.me.name}. What you record is sent to the office at once.`),
    el("h2", {}, "Open walks"),
    open.length
      ? el(
          "ul",
          { class: "plain stack" },
          open.map((item) =>
            el("li", {}, button(`Go on with: ${item.title}, ${item.date_local}`, () => onOpen(item), { class: "target wide" })),
          ),
        )
      : el("p", { class: "quiet" }, "None."),
    button("Begin a new walk", onNew, { class: "target main wide" }),
    el("p", {}, el("a", { href: `/houses/${walk.house}` }, "Back to the house")),
  );
  focusHeading();
}
