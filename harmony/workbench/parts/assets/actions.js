/* A row of buttons; pressing one tells Python its name. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-actions");
  keepKeysHere(el);
  const buttons = new Map();
  return follow(model, ["items"], () => {
    const items = model.get("items");
    if ([...buttons.keys()].join() !== items.map((item) => item.name).join()) {
      buttons.clear();
      for (const item of items) {
        const button = make("button", { type: "button" }, item.label);
        button.addEventListener("click", () => model.send({ press: item.name }));
        buttons.set(item.name, button);
      }
      el.replaceChildren(...buttons.values());
    }
    for (const item of items) {
      const button = buttons.get(item.name);
      if (button.textContent !== item.label) button.textContent = item.label;
      button.disabled = !item.enabled;
      button.classList.toggle("hw-first", Boolean(item.first));
      button.title = item.about ?? "";
    }
  });
}

export default { render };
