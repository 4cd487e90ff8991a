// Two photos over each other, with a slider that fades from the earlier to the later; without scripts they stand side by side.

for (const box of document.querySelectorAll("[data-compare]")) {
  const pictures = [...box.querySelectorAll("img")];
  const days = [...box.querySelectorAll("figcaption strong")].map((one) => one.textContent);
  if (pictures.length === 2) box.append(overlaid(pictures, days));
}

function made(tag, set = {}, ...inside) {
  const element = Object.assign(document.createElement(tag), set);
  element.append(...inside);
  return element;
}

function overlaid(pictures, days) {
  const [under, over] = pictures.map((one) => made("img", { src: one.src, alt: "" }));
  const stack = made("div", { className: "compare-stack" }, under, over);
  const slider = made("input", { type: "range", min: 0, max: 100, step: 5, value: 50, id: "compare-fade" });
  const show = () => {
    over.dataset.fade = slider.value; // the style sheet knows each step
    slider.setAttribute("aria-valuetext", `${slider.value} of 100 of the later photo, ${days[1]}`);
  };
  slider.addEventListener("input", show);
  show();
  const label = made("label", { htmlFor: slider.id }, "Over each other: fade from the earlier to the later");
  const ends = made("div", { className: "compare-ends quiet" }, made("span", {}, days[0]), made("span", {}, days[1]));
  return made("div", { className: "compare-over" }, label, stack, slider, ends);
}
