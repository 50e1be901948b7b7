/* A chart of figures. One tab stop; arrows go from place to place, Enter opens. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-chart");
  keepKeysHere(el);
  const caption = make("caption", {});
  const table = make("table", { role: "grid" });
  const frame = make("div", { class: "hw-chart-frame" }, table);
  el.append(frame);
  let places = [];
  let at = [0, 0];

  const press = (row, column) => {
    at = [row, column];
    model.send({ press: [row, column] });
  };

  function focusAt(row, column) {
    const button = places[row]?.[column];
    if (!button) return;
    places[at[0]]?.[at[1]]?.setAttribute("tabindex", "-1");
    at = [row, column];
    button.setAttribute("tabindex", "0");
    button.focus();
  }

  /* The next place that has something, in a direction. */
  function seek(down, across) {
    let [row, column] = at;
    for (;;) {
      row += down;
      column += across;
      if (!places[row] || column < 0 || column >= places[row].length) return;
      if (places[row][column]) return focusAt(row, column);
    }
  }

  table.addEventListener("keydown", (event) => {
    const moves = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
    if (!moves[event.key]) return;
    event.preventDefault();
    seek(...moves[event.key]);
  });

  /* The one that is opened, and the one tab stop. */
  function mark() {
    const chosen = model.get("chosen");
    table.querySelector("[aria-pressed=true]")?.setAttribute("aria-pressed", "false");
    table.querySelector("[tabindex='0']")?.setAttribute("tabindex", "-1");
    places[chosen[0]]?.[chosen[1]]?.setAttribute("aria-pressed", "true");
    if (chosen.length) at = [...chosen];
    if (!places[at[0]]?.[at[1]]) {
      const row = places.findIndex((one) => one.some(Boolean));
      at = row < 0 ? [0, 0] : [row, places[row].findIndex(Boolean)];
    }
    places[at[0]]?.[at[1]]?.setAttribute("tabindex", "0");
  }

  const draw = () => {
    const { heads, rows } = model.get("content");
    const head = make("tr", {}, make("th", { scope: "col" }),
      ...heads.map((text) => make("th", { scope: "col" }, text)));
    places = rows.map(() => []);
    const body = rows.map((row, r) => make("tr", {}, make("th", { scope: "row" }, row.name),
      ...row.cells.map(([text, spoken], c) => {
        if (!text) {
          places[r][c] = null;
          return make("td", {});
        }
        const button = make("button", { type: "button", tabindex: "-1", "aria-label": spoken,
          "aria-pressed": "false" }, text);
        button.addEventListener("click", () => press(r, c));
        places[r][c] = button;
        return make("td", {}, button);
      })));
    const had = table.contains(document.activeElement);
    table.replaceChildren(caption, make("thead", {}, head), make("tbody", {}, ...body));
    mark();
    if (had) places[at[0]]?.[at[1]]?.focus();
  };
  const stops = [
    follow(model, ["label"], () => (caption.textContent = model.get("label"))),
    follow(model, ["content"], draw),
    follow(model, ["chosen"], mark),
  ];
  return () => stops.forEach((one) => one());
}

export default { render };
