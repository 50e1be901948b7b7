/* Engraved notation to click and to walk through by keyboard.

   One tab stop. Arrows go between chords and voices, Enter pins or unpins, Home and End go to
   the first and last chord. What the eye sees at a note, a live region says. */

const PATIENCE = 2000; // milliseconds for which an unanswered choice holds the keyboard's place
const REACH = 15; // screen pixels around a notehead within which a click is meant for it

const innerStyle = new CSSStyleSheet();
innerStyle.replaceSync(INNER_STYLE);

/* The groups of the bars by their ids, and what is around them. */
function cutAtBars(picture) {
  const [head, ...pieces] = picture.split(/(?=<g data-id="m\d+")/);
  const bars = new Map();
  const around = [head];
  for (const piece of pieces) {
    const tags = /<g\b[^>]*?(\/?)>|<\/g>/g;
    let depth = 0;
    for (let tag = tags.exec(piece); tag; tag = tags.exec(piece)) {
      if (tag[0] === "</g>") depth -= 1;
      else if (!tag[1]) depth += 1;
      if (depth === 0) break;
    }
    const end = tags.lastIndex;
    const id = piece.slice(12, piece.indexOf('"', 12));
    bars.set(id, piece.slice(0, end));
    around.push(id, piece.slice(end));
  }
  return { frame: around.join("\n"), bars };
}

function read(markup) {
  const holder = shape("svg");
  holder.innerHTML = markup;
  return holder.firstElementChild;
}

const set = (element, name, value) => {
  if (element.getAttribute(name) !== value) element.setAttribute(name, value);
};

/* Makes an element what another is by touching only what differs, since whatever is touched
   is styled, laid out and painted anew. */
function liken(element, wanted) {
  if (element.isEqualNode(wanted)) return;
  const names = (one) => one.getAttributeNames?.().join();
  const isAlike = element.nodeType === Node.ELEMENT_NODE && element.nodeName === wanted.nodeName
    && names(element) === names(wanted) && element.childNodes.length === wanted.childNodes.length;
  if (!isAlike) {
    element.replaceWith(wanted);
    return;
  }
  for (const { name, value } of wanted.attributes) set(element, name, value);
  const theirs = [...wanted.childNodes];
  [...element.childNodes].forEach((child, at) => liken(child, theirs[at]));
}

function render({ model, el }) {
  el.classList.add("hw-part", "hw-score");
  keepKeysHere(el);
  const sheet = make("div", {
    class: "hw-sheet", tabindex: "0", role: "application", "aria-roledescription": "notation",
  });
  const spoken = make("p", { class: "hw-unseen", role: "status" });
  el.append(sheet, spoken);
  // A root of its own: the page's thousands of rules need not be tried on every stroke drawn.
  const root = sheet.attachShadow({ mode: "open" });
  const page = make("div", { class: "hw-picture" });
  // What is ours lies over the picture, so that a mark moves without the notation painted anew.
  const over = make("div", { class: "hw-over" });
  root.adoptedStyleSheets = [innerStyle];
  root.append(make("div", { class: "hw-stack" }, page, over));
  el.dataset.desk = model.get("desk");
  el.harmonyPage = page;

  let shown = { picture: null, frame: null, bars: new Map(), elements: new Map(), boxes: null };
  let heads = new Map(); // "slot voice" -> {note, element}
  let columns = new Map(); // slot -> [{note, element}], top voice first
  let place = null; // {slot, voice} where the keyboard stands
  let sent = null; // {place, at}: the last choice told to Python and not yet answered
  let isShaded = false; // whether that note is the one chosen
  let sounding = null; // slot
  let ground = null; // the SVG group over the picture's own that holds all that is ours
  let marks = null; // the group in it that holds every mark
  let layer = null; // and the one that holds the costs
  let figures = new Map(); // slot -> the text that stands under its chord
  let figuresAt = null; // the list those texts were written from

  const key = (slot, voice) => `${slot} ${voice}`;

  function draw() {
    sheet.setAttribute("aria-label", model.get("label"));
    const elements = showPicture(model.get("picture"));
    heads = new Map();
    columns = new Map();
    for (const note of model.get("notes")) {
      const element = elements.get(note.id);
      if (!element) continue;
      const entry = { note, element };
      heads.set(key(note.slot, note.voice), entry);
      if (!columns.has(note.slot)) columns.set(note.slot, []);
      columns.get(note.slot).push(entry);
    }
    const chosen = model.get("chosen");
    // An answer to an earlier key must not take the place back while later keys are on their way.
    const isLate = sent && performance.now() - sent.at < PATIENCE && chosen.join() !== sent.place;
    if (!isLate) {
      sent = null;
      // The keyboard's place outlives a new search; the shade is for what is chosen now.
      place = chosen.length ? { slot: chosen[0], voice: chosen[1] } : place;
      isShaded = chosen.length > 0;
    }
    under();
    decorate();
    el.dataset.revision = model.get("revision");
    // Other parts may lay something over the picture.
    const drawn = new CustomEvent("harmony:drawn", { detail: { desk: model.get("desk") } });
    document.dispatchEvent(drawn);
  }

  /* A picture that stays is not drawn anew; where only bars changed, only those are. */
  function showPicture(picture) {
    if (picture === shown.picture) return shown.elements;
    const cut = cutAtBars(picture);
    if (cut.frame === shown.frame) {
      for (const [id, bar] of cut.bars) {
        if (bar !== shown.bars.get(id)) liken(shown.elements.get(id), read(bar));
      }
    } else {
      page.innerHTML = picture;
      layOver();
    }
    const elements = new Map();
    for (const element of page.querySelectorAll("[data-id]")) {
      elements.set(element.dataset.id, element);
    }
    shown = { picture, ...cut, elements, boxes: new WeakMap() };
    figuresAt = null;
    return elements;
  }

  /* Gives what lies over the picture the picture's own measures. */
  function layOver() {
    const margin = page.querySelector(".page-margin");
    ground = margin && margin.cloneNode(false);
    layer = shape("g", { class: "hw-under" });
    figures = new Map();
    ground?.append(layer);
    let whole = ground;
    for (let one = margin?.parentElement; one && one !== page; one = one.parentElement) {
      const around = one.cloneNode(false);
      around.append(whole);
      whole = around;
    }
    over.replaceChildren(...(whole ? [whole] : []));
  }

  const boxOf = ({ element }) => {
    if (!shown.boxes.has(element)) {
      const head = element.querySelector(".notehead") ?? element;
      shown.boxes.set(element, head.getBBox());
    }
    return shown.boxes.get(element);
  };

  function decorate() {
    if (!ground) return;
    marks?.remove();
    marks = shape("g", { class: "hw-marks" });
    for (const entry of heads.values()) {
      if (entry.note.pinned) frame(entry, "hw-pinned", 38, 0);
    }
    for (const entry of columns.get(sounding) ?? []) frame(entry, "hw-sounding", 110, 190);
    const chosen = isShaded && heads.get(key(place.slot, place.voice));
    if (chosen) frame(chosen, "hw-chosen", 150, 60);
    ground.append(marks);
  }

  function frame(entry, name, room, round) {
    const box = boxOf(entry);
    marks.append(shape("rect", {
      class: name, x: box.x - room, y: box.y - room, rx: round,
      width: box.width + 2 * room, height: box.height + 2 * room,
    }));
  }

  /* What each chord costs, under the lowest staff of its line of music. */
  function under() {
    const texts = model.get("under");
    if (!ground || figuresAt === texts) return;
    figuresAt = texts;
    const floors = new Map();
    const places = texts.flatMap(({ slot, text }) => {
      const system = columns.get(slot)?.[0].element.closest(".system");
      if (!system) return [];
      if (!floors.has(system)) {
        const box = system.getBBox();
        floors.set(system, box.y + box.height);
      }
      const x = Math.min(...columns.get(slot).map((one) => boxOf(one).x));
      return [{ slot, text, x, y: floors.get(system) + 420 }];
    });
    const before = figures;
    figures = new Map();
    for (const { slot, text, x, y } of places) {
      const figure = before.get(slot) ?? shape("text", { "data-slot": slot });
      set(figure, "x", String(x));
      set(figure, "y", String(y));
      if (figure.textContent !== text) figure.textContent = text;
      if (!before.delete(slot)) layer.append(figure);
      figures.set(slot, figure);
    }
    for (const gone of before.values()) gone.remove();
  }

  function choose(slot, voice, { pin = false } = {}) {
    const entry = heads.get(key(slot, voice));
    if (!entry) return;
    place = { slot, voice };
    isShaded = true;
    sent = { place: [slot, voice].join(), at: performance.now() };
    model.send({ [pin ? "pin" : "choose"]: [slot, voice] }); // first: the answer takes longest
    decorate();
    say(entry);
  }

  function say(entry) {
    spoken.textContent = entry.note.spoken;
  }

  function step(chords, voices) {
    const slots = [...columns.keys()].sort((a, b) => a - b);
    if (!slots.length) return;
    if (!place || !columns.has(place.slot)) {
      choose(slots[0], columns.get(slots[0])[0].note.voice);
      return;
    }
    const at = slots.indexOf(place.slot);
    const slot = slots[Math.min(Math.max(at + chords, 0), slots.length - 1)];
    const all = columns.get(slot).map((entry) => entry.note.voice).sort((a, b) => a - b);
    const now = all.indexOf(place.voice);
    choose(slot, all[Math.min(Math.max((now < 0 ? 0 : now) + voices, 0), all.length - 1)]);
  }

  const moves = {
    ArrowLeft: () => step(-1, 0), ArrowRight: () => step(1, 0),
    ArrowUp: () => step(0, -1), ArrowDown: () => step(0, 1),
    Home: () => step(-Infinity, 0), End: () => step(Infinity, 0),
    Enter: () => (place ? choose(place.slot, place.voice, { pin: true }) : step(0, 0)),
    " ": () => moves.Enter(),
  };
  sheet.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !moves[event.key]) return;
    event.preventDefault();
    moves[event.key]();
  });
  const sayPlace = () => {
    const entry = place && heads.get(key(place.slot, place.voice));
    if (entry) say(entry);
  };
  sheet.addEventListener("focus", sayPlace);

  root.addEventListener("click", (event) => {
    const figure = event.target.closest(".hw-under text");
    if (figure) {
      const column = columns.get(Number(figure.dataset.slot));
      choose(column[0].note.slot, column[0].note.voice);
      return;
    }
    let nearest = null;
    for (const entry of heads.values()) {
      const head = entry.element.querySelector(".notehead") ?? entry.element;
      const box = head.getBoundingClientRect();
      const across = Math.max(box.left - event.clientX, 0, event.clientX - box.right);
      const down = Math.max(box.top - event.clientY, 0, event.clientY - box.bottom);
      const away = Math.hypot(across, down);
      if (!nearest || away < nearest.away) nearest = { away, across, entry };
    }
    if (!nearest) return;
    const { slot, voice } = nearest.entry.note;
    const touched = event.target.closest(".note")?.dataset.id;
    const own = [...heads.values()].find((entry) => entry.note.id === touched);
    if (nearest.away <= REACH) choose(slot, voice, { pin: true });
    else if (own) choose(own.note.slot, own.note.voice, { pin: true });
    else if (nearest.across <= 2 * REACH) choose(slot, voice);
  });

  const onSounding = (event) => {
    if (event.detail.desk !== model.get("desk")) return;
    sounding = event.detail.slot;
    decorate();
  };
  document.addEventListener("harmony:sounding", onSounding);

  const stop = follow(model, ["revision"], () => {
    draw();
    if (document.activeElement === sheet) sayPlace();
  });
  const reveal = (content) => {
    if (content.reveal) el.scrollIntoView({ block: "nearest" });
  };
  model.on("msg:custom", reveal);

  const stopWidth = followWidth(model, el);
  return () => {
    stop();
    stopWidth();
    document.removeEventListener("harmony:sounding", onSounding);
    model.off("msg:custom", reveal);
  };
}

export default { render };
