/* Possibilities: a letter, a sentence, the first bars engraved, Play and Open. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-offers");
  keepKeysHere(el);
  const title = make("h3", { class: "hw-offers-title", id: unique("offers") });
  const list = make("ol", { class: "hw-offers-list", "aria-labelledby": title.id });
  el.append(title, list);
  let drawn = null; // what the list was drawn from, apart from which one is shown
  const markShown = (row, item) => {
    row.className = item.shown ? "hw-offer hw-offer-shown" : "hw-offer";
    row.querySelector("[data-name^=open]").setAttribute("aria-pressed", String(item.shown));
  };
  return follow(model, ["label", "items"], () => {
    title.textContent = model.get("label");
    const items = model.get("items");
    const said = JSON.stringify(items.map((item) => [item.letter, item.sentence, item.picture]));
    if (said === drawn) {
      items.forEach((item, index) => markShown(list.children[index], item));
      return;
    }
    drawn = said;
    const had = list.contains(document.activeElement) ? document.activeElement.dataset.name : null;
    list.replaceChildren(...items.map((item) => {
      const words = make("p", { class: "hw-offer-words" },
        make("span", { class: `hw-letter hw-letter-${item.letter}` }, item.letter), item.sentence);
      const picture = make("div", { class: "hw-offer-picture", "aria-hidden": "true" });
      picture.innerHTML = item.picture;
      const button = (action, label) => {
        const made = make("button", { type: "button", "data-name": `${action} ${item.letter}`,
          "aria-label": `${label} ${item.letter}: ${item.sentence}` }, label);
        made.addEventListener("click", () => model.send({ [action]: item.letter }));
        return made;
      };
      const open = button("open", "Show");
      const row = make("li", {}, words, picture,
        make("div", { class: "hw-offer-actions" }, button("play", "Play"), open));
      markShown(row, item);
      return row;
    }));
    if (had) list.querySelector(`[data-name="${had}"]`)?.focus();
  });
}

export default { render };
