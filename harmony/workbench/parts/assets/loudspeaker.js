/* What sounds on a part: a level, a limiter and the loudspeaker, opened at the first sound. */

/* `level` is the part's slider, 0 to 100; `full` is what 100 comes to, before the limiter. */
function makeLoudspeaker(level, full) {
  let opened = null; // {context, master}
  const waves = new Map();

  function open() {
    if (!opened) {
      const context = new AudioContext();
      const master = context.createGain();
      const limiter = context.createDynamicsCompressor();
      limiter.threshold.value = -12;
      limiter.ratio.value = 12;
      master.connect(limiter).connect(context.destination);
      opened = { context, master };
      setLevel();
    }
    opened.context.resume();
    return opened;
  }

  function setLevel() {
    if (!opened) return;
    const share = Number(level.value) / 100;
    opened.master.gain.setTargetAtTime(full * share * share, opened.context.currentTime, 0.02);
  }

  /* The wave of a tone whose partials have these strengths, from the first. */
  function waveOf(partials) {
    const name = partials.join();
    if (!waves.has(name)) {
      const imaginary = Float32Array.from([0, ...partials]);
      waves.set(name, opened.context.createPeriodicWave(new Float32Array(imaginary.length), imaginary));
    }
    return waves.get(name);
  }

  return { open, setLevel, waveOf, close: () => opened?.context.close() };
}

/* The slider and the trait that keeps its level; gives what takes the connection away. */
function followLevel(model, level, loudspeaker) {
  level.addEventListener("input", () => {
    loudspeaker.setLevel();
    model.set("level", Number(level.value));
    model.save_changes();
  });
  return follow(model, ["level"], () => {
    level.value = model.get("level");
    loudspeaker.setLevel();
  });
}
