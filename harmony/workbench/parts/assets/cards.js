/* The alternatives side by side: a letter with its colour, its cost, how it differs. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-cards");
  keepKeysHere(el);
  const title = make("span", { class: "hw-label", id: unique("cards") });
  const row = make("div", { class: "hw-cards-row", role: "group", "aria-labelledby": title.id });
  el.append(title, row);
  const stop = follow(model, ["label", "items", "revision"], () => {
    title.textContent = model.get("label");
    const items = model.get("items");
    el.dataset.revision = model.get("revision");
    while (row.children.length > items.length) row.lastChild.remove();
    items.forEach((item, index) => {
      let card = row.children[index];
      if (!card) {
        card = make("button", { type: "button" });
        card.addEventListener("click", () => model.send({ press: card.dataset.letter }));
        row.append(card);
      }
      card.dataset.letter = item.letter;
      card.setAttribute("aria-pressed", String(item.shown));
      card.setAttribute("aria-label", `Alternative ${item.letter}, cost ${item.cost}, ${item.words}`);
      const badge = make("span", { class: `hw-letter hw-letter-${item.letter}` }, item.letter);
      card.replaceChildren(badge, make("span", { class: "hw-card-cost" }, item.cost), make("span", { class: "hw-card-words" }, item.words));
    });
  });
  return stop;
}

export default { render };
