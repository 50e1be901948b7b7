/* A labelled text box with its message beside it and a mark under a stretch that cannot be read. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-entry");
  keepKeysHere(el);
  const id = unique("entry");
  const label = make("label", { for: id });
  const box = make("textarea", {
    id, rows: model.get("rows"), spellcheck: "false", autocapitalize: "off", autocomplete: "off",
    "aria-describedby": `${id}-message`,
  });
  const mirror = make("div", { class: "hw-entry-mirror", "aria-hidden": "true" });
  const message = make("p", { class: "hw-entry-message", id: `${id}-message`, role: "status" });
  el.append(label, make("div", { class: "hw-entry-field" }, mirror, box), message);

  const grow = () => {
    box.style.height = "auto";
    if (box.scrollHeight) box.style.height = `${box.scrollHeight + 2}px`;
  };
  const mark = () => {
    const text = box.value;
    const [start, end] = model.get("marked");
    const isMarked = end > start && text === model.get("marked_text");
    const stretch = make("mark", {}, isMarked ? text.slice(start, Math.max(end, start + 1)) || " " : "");
    mirror.replaceChildren(text.slice(0, isMarked ? start : 0), ...(isMarked ? [stretch] : []));
    box.setAttribute("aria-invalid", String(model.get("tone") === "fault"));
  };
  const send = () => {
    if (model.get("value") === box.value) return;
    model.set("value", box.value);
    model.save_changes();
  };
  let waiting = 0;
  box.addEventListener("input", () => {
    // As a message too: changes of state wait while the kernel is busy, presses of buttons do not.
    model.send({ typed: box.value });
    grow();
    mark();
    clearTimeout(waiting);
    waiting = setTimeout(send, 120);
  });
  box.addEventListener("change", send);
  box.addEventListener("keydown", (event) => {
    // In a box of several lines Enter begins another one.
    const isSent = model.get("rows") > 1 ? event.ctrlKey || event.metaKey : !event.shiftKey;
    if (event.key === "Enter" && isSent && !event.isComposing) {
      event.preventDefault();
      clearTimeout(waiting);
      send();
      model.send({ submit: box.value });
    }
  });

  const stops = [
    follow(model, ["label"], () => label.replaceChildren(model.get("label"))),
    follow(model, ["value"], () => {
      if (box.value !== model.get("value")) box.value = model.get("value");
      grow();
      mark();
    }),
    followTold(model, message),
    follow(model, ["tone", "marked", "marked_text"], mark),
  ];
  // The box has no width yet while the page is being built.
  const watch = new ResizeObserver(grow);
  watch.observe(el);
  return () => {
    watch.disconnect();
    clearTimeout(waiting);
    stops.forEach((stop) => stop());
  };
}

export default { render };
