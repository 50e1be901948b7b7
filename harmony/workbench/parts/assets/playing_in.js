/* A staff and a keyboard of four octaves. What is held stays held until it is taken, so that a
   chord can be clicked or typed one note after another; a MIDI keyboard's chord is what sounded
   between two silences. Python spells, names and engraves. */

const LOWEST = 36; // C2
const HIGHEST = 84; // C6
const WHITE = [0, 2, 4, 5, 7, 9, 11];
const WIDE = 38; // of a white key, in the picture's own units
const TALL = 138;
const NARROW = 25;
const SHORT = 86;
const NAMES = ["C", "C sharp or D flat", "D", "D sharp or E flat", "E", "F", "F sharp or G flat", "G",
  "G sharp or A flat", "A", "A sharp or B flat", "B"];

/* Two rows in the shape of a keyboard that begins on F: the home row are white keys, the row
   above it the black ones between them. By place on the computer's keyboard, whatever it prints. */
const ROWS = { KeyA: 0, KeyW: 1, KeyS: 2, KeyE: 3, KeyD: 4, KeyR: 5, KeyF: 6, KeyG: 7, KeyY: 8, KeyH: 9,
  KeyU: 10, KeyJ: 11, KeyK: 12, KeyO: 13, KeyL: 14, KeyP: 15, Semicolon: 16, BracketLeft: 17, Quote: 18 };
const PRINTED = { Semicolon: ";", BracketLeft: "[", Quote: "'" };
const ROW_STARTS = [41, 53, 65]; // F2, F3, F4

/* Lengths by the figure under a whole note's bar: 4 is a quarter (16 is typed 6). */
const LENGTHS = [["Digit1", "1", "Whole", 4], ["Digit2", "2", "Half", 2], ["Digit4", "4", "Quarter", 1],
  ["Digit8", "8", "Eighth", 0.5], ["Digit6", "6", "Sixteenth", 0.25]];

const FULL = 0.35; // full level, before the limiter
const RISE = 0.012; // seconds
const RINGS = 1.7;
const PARTIALS = [1, 0.42, 0.2, 0.1, 0.05, 0.02];

const ASKING = "The browser will ask whether this page may use your MIDI devices. Only the notes played are"
  + " read; nothing is sent to them.";
const ABSENT = "This browser offers no MIDI; click the keys or use the letters on them.";
const REFUSED = "MIDI was not allowed; click the keys or use the letters on them.";
const UNPLUGGED = "No MIDI keyboard is connected. Plug one in and it will be heard.";

const isWhite = (number) => WHITE.includes(number % 12);

function render({ model, el }) {
  const isMelody = model.get("kind") === "melody";
  el.classList.add("hw-part", "hw-in", `hw-in-${model.get("kind")}`);
  keepKeysHere(el);
  const id = unique("in");
  const held = new Set();
  let at = 60; // where the keyboard's one place is
  let start = ROW_STARTS[1];
  let length = 1;
  let isDotted = false;

  const staff = make("div", { class: "hw-in-staff", "aria-hidden": "true" });
  const told = make("p", { class: "hw-in-told" });
  const spoken = make("p", { class: "hw-unseen", role: "status" });
  const keys = shape("svg", { class: "hw-in-keys", tabindex: 0, role: "application",
    "aria-describedby": `${id}-how` });
  const how = make("p", { class: "hw-in-small", id: `${id}-how` });

  const button = (label, key, action, about = "") => {
    const made = make("button", { type: "button", title: about }, label, make("kbd", { "aria-hidden": "true" }, key));
    made.addEventListener("click", action);
    return made;
  };
  const take = button("", "Enter", () => takeIt());
  take.classList.add("hw-first");
  const back = button("Take back", "\u232b", () => goBack(), "Takes back the last note, or what was taken last");
  const respell = button("Respell", "N", () => model.send({ respell: true }),
    isMelody ? "Gives the last note its next name" : "Gives the chord its next spelling");
  const row = make("div", { class: "hw-in-row" }, take, back, respell);
  if (isMelody) {
    row.append(button("Rest", "0", () => enter(null)),
      button("Longer", "=", () => model.send({ longer: String(quarters()) }), "Adds the chosen length to the last note"));
  } else {
    row.append(
      button("Respell one note", "\u21e7 N", () => respellOne(), "Gives the note touched last its next name"),
      button("Hear it", "V", () => sound([...held]), "Sounds the notes held"),
    );
  }
  const lengths = make("div", { class: "hw-in-row", role: "group", "aria-label": "Length of the next note" });
  const lengthButtons = LENGTHS.map(([, key, label, value]) => button(label, key, () => setLength(value)));
  const dot = button("Dotted", ".", () => setLength(length, !isDotted));
  lengths.append(...lengthButtons, dot);

  const level = make("input", { type: "range", id: `${id}-level`, min: "0", max: "100", step: "1", "aria-describedby": `${id}-care` });
  const levelRow = make("div", { class: "hw-in-row" },
    make("span", { class: "hw-in-level" }, make("label", { for: level.id }, "Level of the keys"), level),
    make("p", { class: "hw-in-small", id: `${id}-care` },
      "Begins quietly; at the left end it is silent. Raise the level with care, above all in headphones."));

  const listen = make("button", { type: "button", "aria-describedby": `${id}-midi` }, "Listen to a MIDI keyboard");
  const midiSays = make("p", { class: "hw-in-small", id: `${id}-midi`, role: "status" });
  const whole = make("input", { type: "checkbox", id: `${id}-whole` });
  const midiRow = make("div", { class: "hw-in-row" }, listen, midiSays);
  const wholeRow = make("span", { class: "hw-in-level", hidden: true }, whole,
    make("label", { for: whole.id }, "Take each chord when its keys are let go"));
  if (!isMelody) midiRow.append(wholeRow);

  el.append(make("div", { class: "hw-in-top" }, staff, make("div", {}, told, spoken)), row,
    ...(isMelody ? [lengths] : []), keys, how, levelRow, midiRow);

  // The keyboard.

  const shapes = new Map();
  function drawKeys() {
    const whites = [];
    const blacks = [];
    let x = 1;
    for (let number = LOWEST; number <= HIGHEST; number += 1) {
      const octave = Math.floor(number / 12) - 1;
      const [left, wide, tall] = isWhite(number) ? [x, WIDE, TALL] : [x - NARROW / 2, NARROW, SHORT];
      const middle = left + wide / 2;
      const key = shape("g", { id: `${id}-${number}`, role: "button", "aria-pressed": "false",
        "aria-label": `${NAMES[number % 12]} ${octave}`, class: isWhite(number) ? "hw-key" : "hw-key hw-key-black" });
      key.dataset.number = number;
      const letter = shape("text", { x: middle, y: isWhite(number) ? TALL - 22 : SHORT - 12 });
      key.append(shape("rect", { x: left, y: 1, width: wide, height: tall, rx: 2 }),
        shape("rect", { class: "hw-key-place", x: left + 4, y: 5, width: wide - 8, height: tall - 8, rx: 2 }),
        shape("circle", { class: "hw-key-dot", cx: middle, cy: isWhite(number) ? TALL - 43 : SHORT - 34, r: 6 }), letter);
      if (number % 12 === 0) key.append(shape("text", { class: "hw-key-octave", x: middle, y: TALL - 8 }, `C${octave}`));
      shapes.set(number, { key, letter });
      (isWhite(number) ? whites : blacks).push(key);
      if (isWhite(number)) x += WIDE;
    }
    keys.setAttribute("viewBox", `0 0 ${x + 1} ${TALL + 2}`);
    keys.append(...whites, ...blacks);
  }

  /* The letters that lie on the keys now; a keyboard of another country says its own. */
  let printed = null;
  function letterKeys() {
    for (const { letter } of shapes.values()) letter.textContent = "";
    for (const [code, steps] of Object.entries(ROWS)) {
      const key = shapes.get(start + steps);
      if (key) key.letter.textContent = (printed?.get(code) ?? PRINTED[code] ?? code.slice(3)).toUpperCase();
    }
  }

  function showHeld() {
    for (const [number, { key }] of shapes) {
      key.setAttribute("aria-pressed", String(held.has(number)));
      key.classList.toggle("hw-key-at", number === at);
    }
    keys.setAttribute("aria-activedescendant", `${id}-${at}`);
  }

  function tellHeld() {
    showHeld();
    model.send({ held: [...held].sort((a, b) => a - b), at });
  }

  const touch = (number) => (at = Math.min(HIGHEST, Math.max(LOWEST, number)));

  /* A key pressed by hand: on a chord's keyboard it stays down until pressed again. */
  function press(number) {
    touch(number);
    if (isMelody) {
      enter(number);
      return;
    }
    if (held.has(number)) held.delete(number);
    else {
      held.add(number);
      sound([number]);
    }
    isOver = false;
    tellHeld();
  }

  const quarters = () => length * (isDotted ? 1.5 : 1);

  function enter(number) {
    if (number !== null) sound([number]);
    showHeld();
    model.send({ note: number, length: String(quarters()) });
  }

  function setLength(value, dotted = isDotted) {
    length = value;
    isDotted = dotted;
    LENGTHS.forEach(([, , , one], place) => lengthButtons[place].setAttribute("aria-pressed", String(one === length)));
    dot.setAttribute("aria-pressed", String(isDotted));
  }

  /* Lets go at once, so that the next chord can be played while Python works. */
  function takeIt() {
    model.send({ take: true });
    held.clear();
    isOver = true;
    showHeld();
  }

  function goBack() {
    if (held.size) {
      held.delete(held.has(at) ? at : [...held].pop());
      tellHeld();
    } else model.send({ back: true });
  }

  const respellOne = () => model.send({ respell_one: at });

  function shiftLetters(step) {
    const place = Math.min(ROW_STARTS.length - 1, Math.max(0, ROW_STARTS.indexOf(start) + step));
    start = ROW_STARTS[place];
    letterKeys();
  }

  function answer(event) {
    const { code, key, shiftKey } = event;
    if (event.ctrlKey || event.altKey || event.metaKey) return false;
    const lengthPlace = isMelody ? LENGTHS.findIndex(([one]) => one === code) : -1;
    const moves = { ArrowLeft: -1, ArrowRight: 1, ArrowDown: -12, ArrowUp: 12, Home: LOWEST - at, End: HIGHEST - at };
    if (key in moves) {
      const aim = at + moves[key];
      if (aim >= LOWEST && aim <= HIGHEST) at = aim;
      showHeld();
    } else if (key === "PageUp" || key === "PageDown") shiftLetters(key === "PageUp" ? 1 : -1);
    else if (key === "Enter") event.repeat || takeIt();
    else if (key === "Backspace") goBack();
    else if (key === " ") event.repeat || press(at);
    else if (code === "KeyN" && shiftKey && !isMelody) respellOne();
    else if (code === "KeyN") model.send({ respell: true });
    else if (code === "KeyV" && !isMelody) sound([...held]);
    else if (lengthPlace >= 0) setLength(LENGTHS[lengthPlace][3]);
    else if (isMelody && code === "Period") setLength(length, !isDotted);
    else if (isMelody && code === "Digit0") enter(null);
    else if (isMelody && code === "Equal") model.send({ longer: String(quarters()) });
    else if (code in ROWS && !shiftKey) event.repeat || press(start + ROWS[code]);
    else return false;
    return true;
  }

  keys.addEventListener("keydown", (event) => {
    if (answer(event)) event.preventDefault();
  });
  keys.addEventListener("pointerdown", (event) => {
    const key = event.target.closest(".hw-key");
    if (!key || event.button) return;
    event.preventDefault();
    keys.focus({ preventScroll: true });
    press(Number(key.dataset.number));
  });
  // A press that no pointer made, as a screen reader's.
  keys.addEventListener("click", (event) => {
    const key = event.target.closest(".hw-key");
    if (key && event.detail === 0) press(Number(key.dataset.number));
  });

  // A MIDI keyboard.

  let isOver = false; // the chord that is held ended; the next key begins another
  const down = new Set();
  let hasPedal = false;
  let access = null;

  function receive({ data }) {
    if (!data || data.length < 2) return;
    const [status, number, value = 0] = data;
    const kind = status & 0xf0;
    if (kind === 0x90 && value > 0) startNote(number);
    else if (kind === 0x80 || kind === 0x90) stopNote(number);
    else if (kind === 0xb0 && number === 64) usePedal(value >= 64);
    else if (kind === 0xb0 && (number === 120 || number === 123)) {
      down.clear();
      endChord();
    }
  }

  function startNote(number) {
    touch(number);
    if (isMelody) {
      enter(number);
      return;
    }
    if (isOver) held.clear();
    isOver = false;
    down.add(number);
    held.add(number);
    sound([number]);
    tellHeld();
  }

  function stopNote(number) {
    if (down.delete(number)) endChord();
  }

  function usePedal(isDown) {
    hasPedal = isDown;
    if (!isDown) endChord();
  }

  function endChord() {
    if (isMelody || isOver || down.size || hasPedal || !held.size) return;
    isOver = true;
    if (whole.checked) takeIt();
  }

  function attend() {
    const inputs = [...access.inputs.values()].filter((input) => input.state !== "disconnected");
    for (const input of inputs) input.onmidimessage = receive;
    const names = inputs.map((input) => input.name || "a MIDI keyboard");
    midiSays.textContent = names.length ? `Listening to ${names.join(" and ")}.` : UNPLUGGED;
    wholeRow.hidden = !names.length;
    if (!names.length) {
      down.clear();
      endChord();
    }
  }

  listen.addEventListener("click", async () => {
    try {
      access = await navigator.requestMIDIAccess({ sysex: false });
    } catch {
      midiSays.textContent = REFUSED;
      return;
    }
    access.onstatechange = attend;
    attend();
    listen.disabled = true;
    keys.focus({ preventScroll: true });
  });
  const canListen = typeof navigator.requestMIDIAccess === "function";
  listen.hidden = !canListen;
  midiSays.textContent = canListen ? ASKING : ABSENT;

  // Sound.

  const loudspeaker = makeLoudspeaker(level, FULL);

  function sound(numbers) {
    if (!numbers.length || Number(level.value) === 0) return;
    const { context, master } = loudspeaker.open();
    const begins = context.currentTime + 0.01;
    for (const number of numbers) {
      const tone = context.createOscillator();
      const gain = context.createGain();
      tone.setPeriodicWave(loudspeaker.waveOf(PARTIALS));
      tone.frequency.value = 440 * 2 ** ((number - 69) / 12);
      gain.gain.setValueAtTime(0, begins);
      gain.gain.linearRampToValueAtTime(1 / Math.sqrt(numbers.length), begins + RISE);
      gain.gain.setTargetAtTime(0, begins + RISE, RINGS / 4);
      tone.connect(gain).connect(master);
      tone.start(begins);
      tone.stop(begins + RINGS);
      tone.onended = () => gain.disconnect();
    }
  }

  // What Python says.

  const onMessage = ({ hold }) => {
    if (!hold || held.size) return;
    for (const number of hold) held.add(number);
    showHeld();
  };
  model.on("msg:custom", onMessage);

  how.textContent = (isMelody
    ? "Each key enters a note of the chosen length. "
    : "A key stays down until it is pressed again. ")
    + "With the keyboard in focus: letters play, Page Up and Page Down move them by an octave, arrows and"
    + " Space go from key to key.";
  drawKeys();
  letterKeys();
  navigator.keyboard?.getLayoutMap?.().then((map) => {
    printed = map;
    letterKeys();
  }).catch(() => {});
  setLength(1);
  showHeld();
  const stops = [
    follow(model, ["label"], () => keys.setAttribute("aria-label", model.get("label"))),
    follow(model, ["taking"], () => {
      take.firstChild.textContent = model.get("taking");
    }),
    follow(model, ["picture"], () => (staff.innerHTML = model.get("picture"))),
    follow(model, ["told", "tone"], () => {
      told.classList.toggle("hw-fault", model.get("tone") === "fault");
      told.setAttribute("role", model.get("tone") === "fault" ? "alert" : "presentation");
      told.textContent = model.get("told");
    }),
    follow(model, ["spoken"], () => (spoken.textContent = model.get("spoken"))),
    follow(model, ["revision"], () => (el.dataset.revision = model.get("revision"))),
    followLevel(model, level, loudspeaker),
  ];
  const stopWidth = followWidth(model, el);
  return () => {
    stopWidth();
    loudspeaker.close();
    if (access) {
      access.onstatechange = null;
      for (const input of access.inputs.values()) input.onmidimessage = null;
    }
    model.off("msg:custom", onMessage);
    stops.forEach((stop) => stop());
  };
}

export default { render };
