// Folds the menu of a house behind a button on a narrow screen, where app.css shows one. Without this script the button
// is a link to the menu, and app.css shows the menu whose name stands in the address.

const menu = document.querySelector(".menu");
const link = document.querySelector(".menu-opener");

if (menu && link) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = link.className;
  button.textContent = link.textContent;
  button.setAttribute("aria-controls", "house-menu");

  const open = (is) => {
    menu.classList.toggle("is-open", is);
    button.setAttribute("aria-expanded", String(is));
  };
  const isOpen = () => menu.classList.contains("is-open");

  button.addEventListener("click", () => open(!isOpen()));
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !isOpen()) return;
    if (menu.contains(document.activeElement)) button.focus(); // what is folded away cannot keep the focus
    open(false);
  });
  window.addEventListener("pagehide", () => open(false)); // the browser may keep the page for the way back

  menu.classList.add("is-scripted");
  open(false);
  link.replaceWith(button);
}
