/* Sends the sounding chord to a MIDI output: a channel for each voice, the tenth left to drums.

   The browser is asked only when the button is pressed. Where it has no Web MIDI, or is told no,
   the desk does without. */

const NOTE_OFF = 0x80;
const NOTE_ON = 0x90;
const CONTROL = 0xb0;
const ALL_NOTES_OFF = 123;
const VELOCITY = 72;
const DRUMS = 9; // the tenth channel, counted from 0
const NOWHERE = "no instrument";

function render({ model, el }) {
  el.classList.add("hw-part", "hw-midi");
  keepKeysHere(el);
  if (typeof navigator.requestMIDIAccess !== "function") {
    el.hidden = true;
    return undefined;
  }
  const id = unique("midi");
  const ask = make("button", { type: "button" }, "Play on a MIDI instrument");
  const list = make("select", { id });
  const choice = make("span", { class: "hw-midi-choice", hidden: true }, make("label", { for: id }, "MIDI output"), list);
  const message = make("span", { role: "status" });
  el.append(ask, choice, message);
  let access = null;
  let sounding = []; // [channel, number]

  const channelOf = (voice) => {
    const channel = voice % 15;
    return channel < DRUMS ? channel : channel + 1;
  };
  const output = () => [...(access?.outputs.values() ?? [])].find((one) => one.id === list.value);

  function silence() {
    const to = output();
    for (const [channel, number] of sounding) to?.send([NOTE_OFF + channel, number, 0]);
    sounding = [];
  }

  function sound(slot) {
    silence();
    const to = output();
    if (!to || slot === null) return;
    sounding = (model.get("chords")[slot] ?? []).map((number, voice) => [channelOf(voice), number]);
    for (const [channel, number] of sounding) to.send([NOTE_ON + channel, number, VELOCITY]);
  }

  function offer() {
    const had = list.value;
    const outputs = [...access.outputs.values()];
    list.replaceChildren(make("option", { value: "" }, NOWHERE),
      ...outputs.map((one) => make("option", { value: one.id }, one.name)));
    list.value = outputs.some((one) => one.id === had) ? had : "";
    message.textContent = outputs.length
      ? "Set the level at the desk to nothing to hear the instrument alone."
      : "No MIDI instrument is connected.";
  }

  async function request() {
    try {
      access = await navigator.requestMIDIAccess({ sysex: false });
    } catch {
      message.textContent = "The browser was not allowed to use MIDI; the desk plays by itself.";
      return;
    }
    ask.hidden = true;
    choice.hidden = false;
    access.onstatechange = offer;
    offer();
    list.focus();
  }

  let before = "";
  list.addEventListener("change", () => {
    const left = [...access.outputs.values()].find((one) => one.id === before);
    for (let channel = 0; left && channel < 16; channel += 1) left.send([CONTROL + channel, ALL_NOTES_OFF, 0]);
    sounding = [];
    before = list.value;
  });
  ask.addEventListener("click", request);
  const onSounding = (event) => {
    if (event.detail.desk === model.get("desk")) sound(event.detail.slot);
  };
  document.addEventListener("harmony:sounding", onSounding);
  window.addEventListener("pagehide", silence);
  return () => {
    silence();
    document.removeEventListener("harmony:sounding", onSounding);
    window.removeEventListener("pagehide", silence);
    if (access) access.onstatechange = null;
  };
}

export default { render };
