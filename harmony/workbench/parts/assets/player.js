/* Play and Stop: oscillators with the partials of each voice's family, one gain a voice.

   Tones decay or last as the players' do. Notes are handed to the audio clock shortly before
   they sound, so that long progressions cost nothing and a loop can be changed while it runs. */

const AHEAD = 0.35; // seconds of music handed over in advance
const TICK = 60; // milliseconds between looks at the clock
const LEAD_IN = 0.12; // seconds before the first chord
const TOP_LINE = 1.5; // how much the top voice is brought out over the others
const LOUDEST = 0.5; // full level, before the limiter

function render({ model, el }) {
  el.classList.add("hw-part", "hw-player");
  keepKeysHere(el);
  const ids = { level: unique("level"), speed: unique("speed"), to: unique("to"), loop: unique("loop") };
  const play = make("button", { type: "button", class: "hw-first" }, "Play");
  const stop = make("button", { type: "button", disabled: true }, "Stop");
  const loop = make("input", { type: "checkbox", id: ids.loop });
  const from = make("input", { type: "number", step: "1", "aria-label": "First bar of the loop" });
  const to = make("input", { type: "number", id: ids.to, step: "1", "aria-label": "Last bar of the loop" });
  const speed = make("input", { type: "number", id: ids.speed, min: "20", max: "300", step: "1" });
  const level = make("input", { type: "range", id: ids.level, min: "0", max: "100", step: "1", "aria-describedby": `${ids.level}-care` });
  el.append(
    make("div", { class: "hw-player-row" }, play, stop,
      make("span", { class: "hw-player-group" }, loop, make("label", { for: ids.loop }, "Loop bars"),
        from, make("label", { for: ids.to }, "to"), to),
      make("span", { class: "hw-player-group" }, make("label", { for: ids.speed }, "Quarter notes a minute"), speed),
      make("span", { class: "hw-player-group hw-player-level" }, make("label", { for: ids.level }, "Level"), level),
      make("p", { class: "hw-player-care", id: `${ids.level}-care` },
        "Begins quietly; raise it with care, above all in headphones.")),
  );

  const loudspeaker = makeLoudspeaker(level, LOUDEST);
  let audio = null; // {context, master}
  let run = null; // {origin, next, timer, live}

  const tune = () => model.get("tune");
  const quarter = () => 60 / Math.min(300, Math.max(20, Number(speed.value) || 72));

  /* The stretch to play, in quarters: the looped bars, or all. */
  function stretch() {
    const { bars, end } = tune();
    if (!loop.checked || !bars.length) return { start: 0, end, isLoop: false };
    const first = bars.find((bar) => bar.number === Number(from.value)) ?? bars[0];
    const last = bars.find((bar) => bar.number === Number(to.value)) ?? bars[bars.length - 1];
    const [low, high] = first.start <= last.start ? [first, last] : [last, first];
    return { start: low.start, end: Math.min(high.end, end), isLoop: true };
  }

  function begin() {
    halt();
    audio = loudspeaker.open();
    run = { origin: audio.context.currentTime + LEAD_IN, live: new Set(), queue: [], lit: [], part: null };
    fill();
    run.timer = setInterval(tick, TICK);
    tick();
    state(true);
  }

  /* Queue one pass through the stretch, from the time where the last one ended. */
  function fill() {
    const part = stretch();
    const pace = quarter();
    const at = (quarters) => run.origin + (quarters - part.start) * pace;
    run.part = part;
    run.ends = at(part.end);
    for (const [index, voice] of tune().voices.entries()) {
      for (const [onset, duration, midi] of voice.notes) {
        if (onset + duration <= part.start || onset >= part.end) continue;
        const start = Math.max(onset, part.start);
        run.queue.push({ voice, midi, isTop: index === 0, start: at(start), end: at(Math.min(onset + duration, part.end)) });
      }
    }
    run.queue.sort((a, b) => a.start - b.start);
    for (const [slot, onset, duration] of tune().chords) {
      if (onset + duration <= part.start || onset >= part.end) continue;
      run.lit.push({ slot, start: at(Math.max(onset, part.start)), end: at(Math.min(onset + duration, part.end)) });
    }
  }

  function tick() {
    const now = audio.context.currentTime;
    if (run.part.isLoop && now + AHEAD >= run.ends) {
      run.origin = run.ends;
      fill();
    }
    while (run.queue.length && run.queue[0].start <= now + AHEAD) sound(run.queue.shift());
    while (run.lit.length && run.lit[0].end <= now) run.lit.shift();
    const lit = run.lit.length && run.lit[0].start <= now ? run.lit[0].slot : null;
    light(lit);
    if (!run.queue.length && !run.lit.length && now > run.ends + 0.3) halt();
  }

  function sound({ voice, midi, isTop, start, end }) {
    const { context, master } = audio;
    const tone = context.createOscillator();
    const gain = context.createGain();
    tone.setPeriodicWave(loudspeaker.waveOf(voice.partials[midi]));
    tone.frequency.value = 440 * 2 ** ((midi - 69) / 12);
    const count = tune().voices.length;
    const peak = (voice.loudness * (isTop ? TOP_LINE : 1)) / Math.sqrt(count + 1);
    const begins = Math.max(start, context.currentTime);
    const ends = Math.max(end, begins + 0.05);
    gain.gain.setValueAtTime(0.0001, begins);
    let last;
    if (voice.sustains) {
      const rise = Math.min(voice.attack_seconds, (ends - begins) / 3);
      gain.gain.linearRampToValueAtTime(peak, begins + rise);
      gain.gain.setTargetAtTime(peak * 0.8, begins + rise, 0.4);
      gain.gain.setTargetAtTime(0.0001, ends - 0.03, 0.035);
      last = ends + 0.25;
    } else {
      // A struck or plucked string fades by itself, the higher the sooner, and is damped at its end.
      gain.gain.linearRampToValueAtTime(peak * 1.4, begins + 0.006);
      gain.gain.setTargetAtTime(0.0001, begins + 0.006, voice.decay_seconds * 2 ** ((60 - midi) / 24));
      gain.gain.setTargetAtTime(0.0001, ends - 0.02, 0.05);
      last = ends + 0.3;
    }
    tone.connect(gain).connect(master);
    tone.start(begins);
    tone.stop(last);
    const owner = run;
    owner.live.add(tone);
    tone.onended = () => {
      owner.live.delete(tone);
      gain.disconnect();
    };
  }

  let shown = null;
  function light(slot) {
    if (slot === shown) return;
    shown = slot;
    document.dispatchEvent(new CustomEvent("harmony:sounding", { detail: { desk: model.get("desk"), slot } }));
  }

  function halt() {
    if (run) {
      clearInterval(run.timer);
      for (const tone of run.live) tone.stop();
      run = null;
    }
    light(null);
    state(false);
  }

  function state(isPlaying) {
    el.dataset.playing = String(isPlaying);
    // A button that had the focus must not lose it by being switched off.
    const had = document.activeElement;
    stop.disabled = !isPlaying;
    if (had === stop && !isPlaying) play.focus();
    if (model.get("playing") !== isPlaying) {
      model.set("playing", isPlaying);
      model.save_changes();
    }
  }

  /* Another part of the desk may have been pressed to play this tune. */
  const onMessage = (content) => {
    if (content.play) begin();
  };
  model.on("msg:custom", onMessage);
  play.addEventListener("click", begin);
  stop.addEventListener("click", halt);
  speed.addEventListener("change", () => {
    model.set("quarters_per_minute", Number(speed.value) || 72);
    model.save_changes();
  });
  for (const input of [loop, from, to]) {
    input.addEventListener("change", () => {
      model.set("loop", [loop.checked, Number(from.value), Number(to.value)]);
      model.save_changes();
    });
  }

  const stops = [
    follow(model, ["tune"], () => {
      const { bars } = tune();
      const last = bars.length ? bars[bars.length - 1].number : 1;
      const first = bars.length ? bars[0].number : 1;
      for (const input of [from, to]) {
        input.min = first;
        input.max = last;
      }
      if (!from.value || Number(from.value) > last) from.value = first;
      if (!to.value || Number(to.value) > last || !loop.checked) to.value = last;
      // A note changed while it plays is heard at the next pass; chords already queued run out.
      if (run && !run.part.isLoop) {
        const elapsed = run;
        elapsed.queue.length = 0;
        requeue();
      }
    }),
    followLevel(model, level, loudspeaker),
    follow(model, ["quarters_per_minute"], () => (speed.value = model.get("quarters_per_minute"))),
  ];

  /* Take up the changed music from the next chord on. */
  function requeue() {
    const now = audio.context.currentTime;
    run.lit.length = 0;
    fill();
    run.queue = run.queue.filter((note) => note.start > now + AHEAD);
    run.lit = run.lit.filter((chord) => chord.end > now);
  }

  state(false);
  return () => {
    halt();
    loudspeaker.close();
    model.off("msg:custom", onMessage);
    stops.forEach((one) => one());
  };
}

export default { render };
