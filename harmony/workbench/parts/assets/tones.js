/* Buttons that sound a chord or a series, one at a time; the level begins quiet. */

const FULL = 0.4; // full level, before the limiter
const RISE = 0.08; // seconds
const FALL = 0.25;
const LEAD = 0.05; // seconds before the first tone

function render({ model, el }) {
  el.classList.add("hw-part", "hw-tones");
  keepKeysHere(el);
  const id = unique("tones");
  const level = make("input", { type: "range", id, min: "0", max: "100", step: "1", "aria-describedby": `${id}-care` });
  const buttons = make("span", { class: "hw-tones-buttons" });
  const quiet = make("button", { type: "button", disabled: true }, "Silence");
  el.append(buttons, quiet,
    make("span", { class: "hw-tones-level" }, make("label", { for: id }, "Level of these tones"), level),
    make("p", { class: "hw-tones-care", id: `${id}-care` },
      "Begins quietly. Raise the level with care, above all in headphones; high partials tire the ear."));

  const loudspeaker = makeLoudspeaker(level, FULL);
  let live = [];
  let ends = null; // timer

  function sound(name) {
    halt();
    const tones = model.get("sounds")[name] ?? [];
    if (!tones.length) return;
    const audio = loudspeaker.open();
    const origin = audio.context.currentTime + LEAD;
    const room = Math.hypot(...tones.map((tone) => tone.loudness)) + 1;
    for (const tone of tones) start(tone, audio, origin, tone.loudness / room);
    el.dataset.sounding = name;
    quiet.disabled = false;
    const last = Math.max(...tones.map((tone) => tone.start + tone.seconds));
    ends = setTimeout(halt, (last + LEAD + FALL) * 1000);
  }

  function start({ hz, partials, start, seconds }, { context, master }, origin, peak) {
    const tone = context.createOscillator();
    tone.setPeriodicWave(loudspeaker.waveOf(partials));
    tone.frequency.value = hz;
    const gain = context.createGain();
    const begins = origin + start;
    gain.gain.setValueAtTime(0, begins);
    gain.gain.linearRampToValueAtTime(peak, begins + RISE);
    gain.gain.setValueAtTime(peak, begins + seconds - FALL);
    gain.gain.linearRampToValueAtTime(0, begins + seconds);
    tone.connect(gain).connect(master);
    tone.start(begins);
    tone.stop(begins + seconds + 0.05);
    tone.onended = () => gain.disconnect();
    live.push(tone);
  }

  function halt() {
    clearTimeout(ends);
    for (const tone of live) tone.stop();
    live = [];
    el.dataset.sounding = "";
    if (document.activeElement === quiet) buttons.querySelector("button")?.focus();
    quiet.disabled = true;
  }

  quiet.addEventListener("click", halt);
  const stops = [
    follow(model, ["items"], () => {
      buttons.replaceChildren(...model.get("items").map(([name, label]) => {
        const button = make("button", { type: "button" }, label);
        button.addEventListener("click", () => sound(name));
        return button;
      }));
    }),
    follow(model, ["sounds"], () => {
      const sounds = model.get("sounds");
      model.get("items").forEach(([name], place) => {
        buttons.children[place].disabled = !(sounds[name] ?? []).length;
      });
    }),
    followLevel(model, level, loudspeaker),
  ];
  return () => {
    halt();
    loudspeaker.close();
    stops.forEach((stop) => stop());
  };
}

export default { render };
