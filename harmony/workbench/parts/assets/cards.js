/* The alternatives side by side: a letter with its colour, its cost, how it differs, a few bars. */

/* A picture as a stencil in the page's ink: it serves light and dark, and its many strokes are
   nothing to the page's style rules. */
function showStencil(element, picture) {
  if (element.picture === picture) return;
  element.picture = picture;
  const size = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(picture);
  element.hidden = !size;
  if (!size) return;
  element.style.aspectRatio = `${size[1]} / ${size[2]}`;
  element.style.maskImage = `url("data:image/svg+xml,${encodeURIComponent(picture)}")`;
}

function render({ model, el }) {
  el.classList.add("hw-part", "hw-cards");
  keepKeysHere(el);
  const title = make("span", { class: "hw-label", id: unique("cards") });
  const row = make("div", { class: "hw-cards-row", role: "group", "aria-labelledby": title.id });
  el.append(title, row);
  return follow(model, ["label", "items", "pictures", "revision"], () => {
    title.textContent = model.get("label");
    const items = model.get("items");
    el.dataset.revision = model.get("revision");
    while (row.children.length > items.length) row.lastChild.remove();
    items.forEach((item, index) => {
      let card = row.children[index];
      if (!card) {
        const head = make("span", { class: "hw-card-head" });
        card = make("button", { type: "button" }, head, make("span", { class: "hw-card-picture", hidden: true }));
        card.addEventListener("click", () => model.send({ press: card.dataset.letter }));
        row.append(card);
      }
      card.dataset.letter = item.letter;
      card.setAttribute("aria-pressed", String(item.shown));
      card.setAttribute("aria-label", `Alternative ${item.letter}, cost ${item.cost}, ${item.words}`);
      const badge = make("span", { class: `hw-letter hw-letter-${item.letter}` }, item.letter);
      card.firstChild.replaceChildren(badge, make("span", { class: "hw-card-cost" }, item.cost), make("span", { class: "hw-card-words" }, item.words));
      showStencil(card.lastChild, model.get("pictures")[index] ?? "");
    });
  });
}

export default { render };
