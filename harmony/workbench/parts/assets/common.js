/* Shared by the parts; put in front of each part's own script. */

/* Each part on the page is a script of its own, so a count alone would be the same in all. */
let lastNumber = 0;
const own = crypto.getRandomValues(new Uint32Array(2)).join("");
const unique = (stem) => `hw-${stem}-${own}-${(lastNumber += 1)}`;

/* make("p", {class: "x"}, "text", otherElement) */
function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) {
      element.setAttribute(name, value);
    }
  }
  element.append(...children);
  return element;
}

/* The same for what is drawn: shape("rect", {x: 1}) */
function shape(tag, attributes = {}, ...children) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.append(...children);
  return element;
}

/* Lab listens for single letters; on a desk they are the composer's. */
function keepKeysHere(element) {
  element.setAttribute("data-lm-suppress-shortcuts", "true");
  for (const kind of ["keydown", "keypress", "keyup"]) {
    element.addEventListener(kind, (event) => event.stopPropagation());
  }
}

/* Calls back now and whenever one of the named traits changes. */
function follow(model, names, update) {
  for (const name of names) model.on(`change:${name}`, update);
  update();
  return () => {
    for (const name of names) model.off(`change:${name}`, update);
  };
}

/* Keeps a line telling what happened, the trait called so; faults are announced at once. */
function followTold(model, line, name = "message") {
  return follow(model, [name, "tone"], () => {
    const isFault = model.get("tone") === "fault";
    line.setAttribute("role", isFault ? "alert" : "status");
    line.classList.toggle("hw-fault", isFault);
    if (line.textContent !== model.get(name)) line.textContent = model.get(name);
  });
}

/* Tells Python the room the page gives a part, in steps, so that it draws for that width. */
function followWidth(model, el) {
  const watch = new ResizeObserver(() => {
    const width = Math.round(el.clientWidth / 20) * 20;
    if (!width || Math.abs(width - model.get("width")) < 30) return;
    model.set("width", width);
    model.save_changes();
  });
  watch.observe(el);
  return () => watch.disconnect();
}
