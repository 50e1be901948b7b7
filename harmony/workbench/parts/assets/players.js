/* The players: registers as two notes each, loudness of playback as a slider. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-players");
  keepKeysHere(el);
  const lines = make("div", { class: "hw-players-lines" });
  const message = make("p", { role: "status" });
  el.append(make("details", {}, make("summary", {}, "Registers and loudness by player"),
    make("p", { class: "hw-players-about" },
      "A register decides what is written; an empty box takes the usual one. Loudness is for playback alone."),
    lines, message));

  function draw() {
    const items = model.get("items");
    const focused = lines.contains(document.activeElement) ? document.activeElement.dataset.name : null;
    lines.replaceChildren(...items.map(lineOf));
    if (focused) lines.querySelector(`[data-name="${CSS.escape(focused)}"]`)?.focus();
  }

  function lineOf(item) {
    const field = (which, label) => {
      const box = make("input", { type: "text", value: item[which], size: "4", autocomplete: "off",
        "aria-label": `${item.name}, ${label} note`, "data-name": `${item.name} ${which}` });
      box.addEventListener("change", () => {
        const [low, high] = line.querySelectorAll("input[type=text]");
        model.send({ register: [item.name, low.value, high.value] });
      });
      return box;
    };
    const reading = make("output", {});
    const loudness = make("input", { type: "range", min: "-24", max: "6", step: "3", value: item.loudness,
      "aria-label": `Loudness of ${item.name}`, "data-name": `${item.name} loudness` });
    const tell = () => {
      const value = Number(loudness.value);
      reading.textContent = value === 0 ? "as usual" : `${Math.abs(value)} dB ${value < 0 ? "softer" : "louder"}`;
      loudness.setAttribute("aria-valuetext", reading.textContent);
    };
    loudness.addEventListener("input", tell);
    loudness.addEventListener("change", () => model.send({ loudness: [item.name, Number(loudness.value)] }));
    tell();
    const line = make("div", { class: "hw-players-line", role: "group", "aria-label": item.name },
      make("span", { class: "hw-label" }, item.name),
      field("low", "lowest"), make("span", {}, "to"), field("high", "highest"),
      make("span", { class: "hw-players-usual" }, item.usual), loudness, reading);
    return line;
  }

  const stops = [
    follow(model, ["items"], draw),
    followTold(model, message),
  ];
  return () => stops.forEach((stop) => stop());
}

export default { render };
