/* Possibilities: a letter, a sentence, the first bars engraved, Play and Open. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-offers");
  keepKeysHere(el);
  const title = make("h3", { class: "hw-offers-title", id: unique("offers") });
  const list = make("ol", { class: "hw-offers-list", "aria-labelledby": title.id });
  el.append(title, list);
  const stop = follow(model, ["label", "items"], () => {
    title.textContent = model.get("label");
    const had = list.contains(document.activeElement) ? document.activeElement.dataset.name : null;
    list.replaceChildren(...model.get("items").map((item) => {
      const said = make("p", { class: "hw-offer-words" },
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
      open.setAttribute("aria-pressed", String(item.shown));
      return make("li", { class: item.shown ? "hw-offer hw-offer-shown" : "hw-offer" },
        said, picture, make("div", { class: "hw-offer-actions" }, button("play", "Play"), open));
    }));
    if (had) list.querySelector(`[data-name="${had}"]`)?.focus();
  });
  return stop;
}

export default { render };
