/* A labelled choice of one among several. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-choice");
  keepKeysHere(el);
  const id = unique("choice");
  const label = make("label", { for: id });
  const list = make("select", { id });
  el.append(label, list);
  list.addEventListener("change", () => {
    model.set("value", list.value);
    model.save_changes();
  });
  const look = () => model.get("is_watched") && model.send({ look: true });
  el.addEventListener("pointerenter", look);
  list.addEventListener("focus", look);
  return follow(model, ["label", "options", "value"], () => {
    label.replaceChildren(model.get("label"));
    const names = model.get("options");
    if (names.join("\n") !== [...list.options].map((option) => option.value).join("\n")) {
      list.replaceChildren(...names.map((name) => make("option", { value: name }, name)));
    }
    list.value = model.get("value");
  });
}

export default { render };
