/* A set of sliders, each a native range input whose visible label is its name. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-sliders");
  keepKeysHere(el);
  const rows = new Map();
  let held = false;
  const grid = make("div", { class: "hw-sliders-grid" });

  const build = () => {
    rows.clear();
    grid.replaceChildren();
    for (const item of model.get("items")) {
      const id = unique("slider");
      const input = make("input", {
        type: "range", id, min: item.lowest, max: item.highest, step: item.step,
        "aria-describedby": `${id}-ends ${id}-about`,
      });
      const reading = make("output", { for: id });
      const row = make(
        "div", { class: "hw-slider" },
        make("label", { for: id }, item.label),
        reading,
        input,
        make("span", { class: "hw-slider-ends", id: `${id}-ends` },
          make("span", {}, item.low_word), make("span", { class: "hw-unseen" }, " to "),
          make("span", {}, item.high_word)),
        make("p", { class: "hw-slider-about", id: `${id}-about` }, item.about),
      );
      input.addEventListener("input", () => {
        show(item.name, Number(input.value));
        if (!held) model.set("stroke", model.get("stroke") + 1);
        held = true;
        model.set("values", { ...model.get("values"), [item.name]: Number(input.value) });
        model.save_changes();
      });
      // Letting go ends one change: the next step is another, and undone by itself. The count
      // travels with the values, since a message of its own could overtake them.
      input.addEventListener("change", () => (held = false));
      rows.set(item.name, { input, reading, item });
      grid.append(row);
    }
    for (const [name, value] of Object.entries(model.get("values"))) show(name, value);
  };
  const show = (name, value) => {
    const row = rows.get(name);
    if (!row) return;
    const { input, reading, item } = row;
    if (Number(input.value) !== value) input.value = value;
    const words = item.readings ? item.readings[String(value)] ?? String(value) : String(value);
    reading.value = words;
    input.setAttribute("aria-valuetext", words);
  };

  const title = model.get("title");
  if (title) el.append(make("details", {}, make("summary", {}, title), grid));
  else el.append(grid);
  const stops = [
    follow(model, ["items"], build),
    follow(model, ["values"], () => {
      for (const [name, value] of Object.entries(model.get("values"))) show(name, value);
    }),
  ];
  return () => stops.forEach((stop) => stop());
}

export default { render };
