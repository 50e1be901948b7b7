/* Keeping under a name, and opening what was kept. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-keeping");
  keepKeysHere(el);
  const ids = { name: unique("name"), list: unique("kept"), told: unique("told") };
  const name = make("input", { type: "text", id: ids.name, "aria-describedby": ids.told, autocomplete: "off", spellcheck: "false" });
  const keep = make("button", { type: "button" }, "Keep");
  const list = make("select", { id: ids.list });
  const open = make("button", { type: "button" }, "Open");
  const told = make("p", { id: ids.told, role: "status" });
  el.append(
    make("span", { class: "hw-keeping-group" }, make("label", { for: ids.name }, "Name"), name, keep),
    make("span", { class: "hw-keeping-group" }, make("label", { for: ids.list }, "Kept"), list, open),
    told,
  );
  const look = () => model.send({ look: true });
  el.addEventListener("pointerenter", look);
  list.addEventListener("focus", look);
  // A message, not a saved trait: those are held back while the desk is busy, and a press of
  // another button would overtake the name it is for.
  name.addEventListener("change", () => model.send({ named: name.value }));
  const press = () => model.send({ keep: name.value });
  keep.addEventListener("click", press);
  name.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && !event.isComposing) press();
  });
  open.addEventListener("click", () => model.send({ open: list.value }));
  const stops = [
    follow(model, ["name"], () => (name.value = model.get("name"))),
    follow(model, ["kept"], () => {
      const had = list.value;
      const kept = model.get("kept");
      list.replaceChildren(...(kept.length ? kept : [""]).map((one) => make("option", { value: one }, one || "nothing yet")));
      if (kept.includes(had)) list.value = had;
      list.disabled = open.disabled = !kept.length;
    }),
    followTold(model, told),
  ];
  return () => stops.forEach((stop) => stop());
}

export default { render };
