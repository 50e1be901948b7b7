/* Engraved notation to click and to walk through by keyboard.

   One tab stop. Arrows go between chords and voices, Enter pins or unpins, Home and End go to
   the first and last chord. What the eye sees at a note, a live region says. */

const SVG = "http://www.w3.org/2000/svg";
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

function replaceBar(element, bar) {
  const holder = document.createElementNS(SVG, "svg");
  holder.innerHTML = bar;
  element.replaceWith(holder.firstElementChild);
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
  root.adoptedStyleSheets = [innerStyle];
  root.append(page);
  el.dataset.desk = model.get("desk");
  el.harmonyPage = page;

  let shown = { picture: null, frame: null, bars: new Map(), elements: new Map(), boxes: null };
  let heads = new Map(); // "slot voice" -> {note, element}
  let columns = new Map(); // slot -> [{note, element}], top voice first
  let place = null; // {slot, voice} where the keyboard stands
  let sent = null; // {place, at}: the last choice told to Python and not yet answered
  let isShaded = false; // whether that note is the one chosen
  let sounding = null; // slot
  let marks = null; // the SVG group that holds every mark of ours

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
    decorate();
    el.dataset.revision = model.get("revision");
    // Other parts may lay something over the picture.
    const drawn = new CustomEvent("harmony:drawn", { detail: { desk: model.get("desk") } });
    document.dispatchEvent(drawn);
  }

  /* A picture that stays is not drawn anew; where only bars changed, only those are. */
  function showPicture(picture) {
    if (picture !== shown.picture) {
      const cut = cutAtBars(picture);
      if (cut.frame === shown.frame) {
        for (const [id, bar] of cut.bars) {
          if (bar !== shown.bars.get(id)) replaceBar(shown.elements.get(id), bar);
        }
      } else {
        page.innerHTML = picture;
        shown.boxes = new WeakMap();
      }
      const elements = new Map();
      for (const element of page.querySelectorAll("[data-id]")) {
        elements.set(element.dataset.id, element);
      }
      shown = { picture, ...cut, elements, boxes: shown.boxes };
    }
    page.querySelector(".hw-under")?.remove();
    return shown.elements;
  }

  const boxOf = ({ element }) => {
    if (!shown.boxes.has(element)) {
      const head = element.querySelector(".notehead") ?? element;
      shown.boxes.set(element, head.getBBox());
    }
    return shown.boxes.get(element);
  };

  function decorate() {
    const ground = page.querySelector(".page-margin");
    if (!ground) return;
    marks?.remove();
    under(ground);
    marks = document.createElementNS(SVG, "g");
    marks.setAttribute("class", "hw-marks");
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
    const shape = document.createElementNS(SVG, "rect");
    for (const [attribute, value] of Object.entries({
      class: name, x: box.x - room, y: box.y - room, rx: round,
      width: box.width + 2 * room, height: box.height + 2 * room,
    })) shape.setAttribute(attribute, value);
    marks.append(shape);
  }

  /* What each chord costs, under the lowest staff of its line of music. */
  function under(ground) {
    if (ground.querySelector(".hw-under")) return;
    const texts = model.get("under");
    if (!texts.length) return;
    const layer = document.createElementNS(SVG, "g");
    layer.setAttribute("class", "hw-under");
    const floors = new Map();
    for (const { slot, text } of texts) {
      const entry = (columns.get(slot) ?? [])[0];
      const system = entry?.element.closest(".system");
      if (!system) continue;
      if (!floors.has(system)) {
        const box = system.getBBox();
        floors.set(system, box.y + box.height);
      }
      const left = Math.min(...columns.get(slot).map((one) => boxOf(one).x));
      const figure = document.createElementNS(SVG, "text");
      figure.setAttribute("x", left);
      figure.setAttribute("y", floors.get(system) + 420);
      figure.dataset.slot = slot;
      figure.textContent = text;
      layer.append(figure);
    }
    ground.append(layer);
  }

  function choose(slot, voice, { pin = false } = {}) {
    const entry = heads.get(key(slot, voice));
    if (!entry) return;
    place = { slot, voice };
    isShaded = true;
    decorate();
    say(entry);
    sent = { place: [slot, voice].join(), at: performance.now() };
    model.send({ [pin ? "pin" : "choose"]: [slot, voice] });
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
  sheet.addEventListener("focus", () => {
    const entry = place && heads.get(key(place.slot, place.voice));
    if (entry) say(entry);
  });

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

  const redraw = () => draw();
  model.on("change:revision", redraw);
  const onNote = () => {
    const entry = place && heads.get(key(place.slot, place.voice));
    if (entry && document.activeElement === sheet) say(entry);
  };
  model.on("change:revision", onNote);
  const reveal = (content) => {
    if (content.reveal) el.scrollIntoView({ block: "nearest" });
  };
  model.on("msg:custom", reveal);
  draw();

  const stopWidth = followWidth(model, el);
  return () => {
    stopWidth();
    document.removeEventListener("harmony:sounding", onSounding);
    model.off("change:revision", redraw);
    model.off("change:revision", onNote);
    model.off("msg:custom", reveal);
  };
}

export default { render };
