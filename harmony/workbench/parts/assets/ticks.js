/* A list of sentences, each with a box that is ticked where it holds. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-ticks");
  keepKeysHere(el);
  const group = make("fieldset");
  el.append(group);
  return follow(model, ["label", "items", "none"], () => {
    const had = group.contains(document.activeElement) ? document.activeElement.dataset.number : null;
    const items = model.get("items").map((item, number) => {
      const box = make("input", { type: "checkbox", "data-number": number });
      box.checked = item.ticked;
      box.addEventListener("change", () => model.send({ tick: [number, box.checked] }));
      return make("label", {}, box, make("span", {}, item.sentence));
    });
    const empty = items.length ? [] : [make("p", {}, model.get("none"))];
    group.replaceChildren(make("legend", {}, model.get("label")), ...items, ...empty);
    if (had !== null) group.querySelector(`[data-number="${had}"]`)?.focus();
  });
}

export default { render };
