/* A heading that opens and closes what stands below it; Python hides and shows that. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-fold");
  keepKeysHere(el);
  const button = make("button", { type: "button" });
  el.append(make("h3", {}, button));
  button.addEventListener("click", () => {
    model.set("is_open", !model.get("is_open"));
    model.save_changes();
  });
  return follow(model, ["label", "is_open"], () => {
    button.textContent = model.get("label");
    button.setAttribute("aria-expanded", String(model.get("is_open")));
  });
}

export default { render };
