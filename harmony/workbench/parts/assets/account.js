/* What a chord costs, in words; and the other notes a voice could have, with their prices. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-account");
  keepKeysHere(el);
  const bill = make("section", { class: "hw-bill" });
  const notes = make("section", { class: "hw-candidates" });
  el.append(bill, notes);

  const stops = [
    follow(model, ["heading", "lines", "no_lines"], () => {
      const lines = model.get("lines");
      const list = make("ul", {});
      for (const [words, cost] of lines) {
        list.append(make("li", {}, make("span", { class: "hw-bill-cost" }, cost), make("span", {}, words)));
      }
      bill.replaceChildren(make("h3", {}, model.get("heading")));
      bill.append(lines.length ? list : make("p", { class: "hw-quiet" }, model.get("no_lines")));
    }),
    follow(model, ["notes_heading", "candidates"], () => {
      const candidates = model.get("candidates");
      const heading = model.get("notes_heading");
      const had = notes.contains(document.activeElement) ? document.activeElement.dataset.index : null;
      notes.replaceChildren(make("h3", {}, heading || "Other notes"));
      if (!candidates.length) {
        notes.append(make("p", { class: "hw-quiet" }, model.get("hint")));
        return;
      }
      const row = make("div", { class: "hw-candidates-row", role: "group", "aria-label": heading });
      candidates.forEach((one, index) => {
        const state = one.is_pinned ? ", pinned" : one.is_now ? ", as now" : "";
        const button = make(
          "button",
          { type: "button", "data-index": index, "aria-pressed": String(one.is_pinned),
            "aria-label": `${one.spoken}, ${one.price}${state}`, class: one.is_now ? "hw-now" : "" },
          make("span", { class: "hw-note" }, one.name),
          make("span", { class: "hw-price" }, one.is_pinned ? "pinned" : one.price),
        );
        button.addEventListener("click", () => model.send({ press: index }));
        row.append(button);
      });
      notes.append(row);
      if (had !== null) row.children[Math.min(Number(had), row.children.length - 1)]?.focus();
    }),
  ];
  return () => stops.forEach((stop) => stop());
}

export default { render };
