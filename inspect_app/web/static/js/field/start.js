// First screen: go on with an open walk, or begin a new one.

import { button, el, focusHeading, show } from "./dom.js";

export function startScreen(walk, { keptAt, local, onOpen, onNew, onReady, onStore, onHouses }) {
  const sealed = new Set(walk.pack.walks.filter((item) => item.state === "sealed").map((item) => item.id));
  const known = new Map(local.filter((item) => item.checklists && !sealed.has(item.id)).map((item) => [item.id, item]));
  for (const item of walk.pack.walks) if (item.state !== "sealed") known.set(item.id, { ...known.get(item.id), ...item });
  const open = [...known.values()];
  show(
    el("h1", {}, walk.pack.house.name),
    el("p", { class: "quiet" }, `You are ${walk.pack.me.name}. ${age(keptAt)} What you record is kept on this phone and sent by itself.`),
    window.isSecureContext ? null : el("p", { class: "caution" }, "This address cannot work without a connection. Keep this page open; what you record is kept and sent all the same."),
    el("h2", { id: "walks" }, "Open walks"),
    open.length
      ? el("ul", { class: "plain stack" }, open.map((item) => el("li", {}, button(`Go on with: ${item.title}${item.date_local ? `, ${item.date_local}` : ""}`, () => onOpen(item), { class: "target wide" }))))
      : el("p", { class: "quiet" }, "None."),
    button("Begin a new walk", onNew, { class: "target main wide" }),
    el("div", { class: "row" }, button("Is this phone ready?", onReady), button("What is on this phone", onStore), onHouses ? button("Other houses on this phone", onHouses) : null),
    el("p", {}, el("a", { href: `/houses/${walk.house}/` }, "Back to the house")),
  );
  focusHeading();
}

// How old the pack is, always said.
function age(keptAt) {
  if (!keptAt) return "House and checklists were fetched just now.";
  const hours = Math.round((Date.now() - Date.parse(keptAt)) / 3_600_000);
  return `House and checklists are as of ${new Date(keptAt).toLocaleString()}${hours > 24 ? `, ${Math.round(hours / 24)} days ago` : ""}.`;
}
