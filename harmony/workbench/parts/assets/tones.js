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

  let audio = null; // {context, master, analyser}
  let live = [];
  let ends = null; // timer

  function open() {
    if (audio) return;
    const context = new AudioContext();
    const master = context.createGain();
    const limiter = context.createDynamicsCompressor();
    limiter.threshold.value = -12;
    limiter.ratio.value = 12;
    const analyser = context.createAnalyser();
    analyser.fftSize = 8192;
    master.connect(limiter).connect(analyser).connect(context.destination);
    audio = { context, master, analyser };
    setLevel();
  }

  function setLevel() {
    if (!audio) return;
    const share = Number(level.value) / 100;
    audio.master.gain.setTargetAtTime(FULL * share * share, audio.context.currentTime, 0.02);
  }

  function sound(name) {
    halt();
    const tones = model.get("sounds")[name] ?? [];
    if (!tones.length) return;
    open();
    audio.context.resume();
    const origin = audio.context.currentTime + LEAD;
    const room = Math.hypot(...tones.map((tone) => tone.loudness)) + 1;
    for (const tone of tones) start(tone, origin, tone.loudness / room);
    el.dataset.sounding = name;
    quiet.disabled = false;
    const last = Math.max(...tones.map((tone) => tone.start + tone.seconds));
    ends = setTimeout(halt, (last + LEAD + FALL) * 1000);
  }

  function start({ hz, partials, start, seconds }, origin, peak) {
    const { context, master } = audio;
    const imaginary = new Float32Array(partials.length + 1);
    partials.forEach((strength, index) => (imaginary[index + 1] = strength));
    const tone = context.createOscillator();
    tone.setPeriodicWave(context.createPeriodicWave(new Float32Array(imaginary.length), imaginary));
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

  /* For listening in: the root mean square of what goes to the loudspeaker just now. */
  el.soundLevel = () => {
    if (!audio) return 0;
    const samples = new Float32Array(audio.analyser.fftSize);
    audio.analyser.getFloatTimeDomainData(samples);
    return Math.sqrt(samples.reduce((sum, one) => sum + one * one, 0) / samples.length);
  };
  /* And how strong one frequency is in it, in decibels. */
  el.soundAt = (frequency) => {
    if (!audio) return -Infinity;
    const bins = new Float32Array(audio.analyser.frequencyBinCount);
    audio.analyser.getFloatFrequencyData(bins);
    return bins[Math.round((frequency * audio.analyser.fftSize) / audio.context.sampleRate)];
  };

  quiet.addEventListener("click", halt);
  level.addEventListener("input", () => {
    setLevel();
    model.set("level", Number(level.value));
    model.save_changes();
  });
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
    follow(model, ["level"], () => {
      level.value = model.get("level");
      setLevel();
    }),
  ];
  return () => {
    halt();
    audio?.context.close();
    stops.forEach((stop) => stop());
  };
}

export default { render };
