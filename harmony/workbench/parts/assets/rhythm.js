/* Brackets that stand over the notation of the sheet of the same desk.

   The sheet keeps its picture; this part lays its own group into it each time it was drawn.
   The line below the picture is one tab stop: what a hand does to a bracket, keys do from there. */

const GRIP = 24; // screen pixels across which a beginning can be taken hold of
const RISE = 150; // from the brackets to what they stand over, in the picture's units

function render({ model, el }) {
  el.classList.add("hw-part", "hw-rhythm");
  el.tabIndex = 0;
  el.setAttribute("role", "application");
  keepKeysHere(el);
  const told = make("p", { role: "status" });
  el.append(told, make("p", {}, model.get("about")));
  let group = null;
  let spots = []; // {quarters, at, x, system}, in order of time
  let wanted = null; // the chosen stretch while Python has not answered
  let isDragged = false; // while a hand holds a beginning, the brackets stay in its way

  const chosen = () => wanted ?? model.get("chosen");
  const send = (action, number, to = "") => model.send({ [action]: [number, to] });

  function sheetPage() {
    const sheets = [...document.querySelectorAll(".hw-score")];
    return sheets.find((one) => one.dataset.desk === model.get("desk"))?.harmonyPage;
  }

  /* Where each time stands: at its element, else between its neighbours on the same line. */
  function findSpots(page) {
    const found = model.get("places").map((place) => {
      const element = place.id && page.querySelector(`[data-id="${CSS.escape(place.id)}"]`);
      if (!element) return { ...place, x: null, system: null };
      const box = (element.querySelector(".notehead") ?? element).getBBox();
      return { ...place, x: box.x, system: element.closest(".system") };
    });
    found.forEach((spot, number) => {
      if (spot.x !== null) return;
      const before = found.slice(0, number).findLast((one) => one.x !== null);
      const after = found.slice(number).find((one) => one.x !== null);
      if (!before) return;
      const isSameLine = after?.system === before.system;
      const edge = isSameLine ? after.x : rightEdge(before.system);
      const end = after?.quarters ?? found.at(-1).quarters + 1;
      const share = (spot.quarters - before.quarters) / (end - before.quarters);
      spot.between = { x: before.x + share * (edge - before.x), system: before.system };
    });
    return found.map((one) => ({ ...one, ...one.between })).filter((one) => one.x !== null);
  }

  const rightEdge = (system) => {
    const box = system.getBBox();
    return box.x + box.width;
  };

  function draw() {
    if (isDragged) return;
    group?.remove();
    group = null;
    const page = sheetPage();
    const ground = page?.querySelector(".page-margin");
    if (!ground) return;
    spots = findSpots(page);
    const tops = new Map(); // system -> y of the brackets
    for (const id of model.get("over")) {
      const element = page.querySelector(`[data-id="${CSS.escape(id)}"]`);
      const system = element?.closest(".system");
      if (!system) continue;
      const top = element.getBBox().y - RISE;
      tops.set(system, Math.min(top, tops.get(system) ?? top));
    }
    group = shape("g", { class: "hw-rhythm-spans" });
    ground.append(group);
    const lines = [...tops.keys()];
    model.get("spans").forEach((span, number) => {
      const start = spots.find((one) => one.at === span.start);
      const end = spots.find((one) => one.at === span.end);
      if (!start || !tops.has(start.system)) return;
      const stop = end ? lines.indexOf(end.system) : lines.length - 1;
      for (let line = lines.indexOf(start.system); line <= stop; line += 1) {
        const system = lines[line];
        const first = spots.find((one) => one.system === system);
        const isLast = end?.system === system;
        const left = system === start.system ? start.x : first.x;
        const right = isLast ? end.x - 60 : rightEdge(system) - 60;
        if (right <= left) continue;
        bracket(span, number, left, right, tops.get(system), system === start.system, isLast || !end);
      }
      if (number) grip(number, start.x, tops.get(start.system));
    });
  }

  function bracket(span, number, left, right, y, begins, ends) {
    if (number === chosen()) {
      group.append(shape("rect", {
        x: left, y: y - 70, width: right - left, height: 190, fill: "currentColor",
        "fill-opacity": 0.17,
      }));
    }
    const path = `${begins ? `M${left} ${y + 90} V${y}` : `M${left} ${y}`} H${right}`;
    group.append(shape("path", {
      d: path + (ends ? ` V${y + 90}` : ""), fill: "none", stroke: "currentColor",
      "stroke-width": span.locked ? 70 : 24,
    }));
    const room = shape("rect", {
      x: left, y: y - 110, width: right - left, height: 260, fill: "none",
      "pointer-events": "all", style: "cursor: pointer", "data-span": number,
    });
    room.addEventListener("click", (event) => {
      event.stopPropagation();
      choose(number);
    });
    group.append(room);
  }

  /* The beginning of a stretch, to be dragged along the places where a chord may begin. */
  function grip(number, x, y) {
    const units = GRIP / (group.getScreenCTM()?.a || 1);
    const held = shape("rect", {
      x: x - units / 2, y: y - 140, width: units, height: 330, fill: "none",
      "pointer-events": "all", style: "cursor: ew-resize; touch-action: none", "data-grip": number,
    });
    const mark = shape("path", { stroke: "currentColor", "stroke-width": 40, fill: "none", d: "" });
    let to = null;
    held.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      held.setPointerCapture(event.pointerId);
      isDragged = true;
      to = spots.find((one) => one.at === model.get("spans")[number].start);
    });
    held.addEventListener("pointermove", (event) => {
      if (!to) return;
      to = nearest(event, number) ?? to;
      mark.setAttribute("d", `M${to.x} ${y - 140} V${y + 190}`);
    });
    const letGo = () => {
      to = null;
      isDragged = false;
      mark.setAttribute("d", "");
    };
    held.addEventListener("pointerup", () => {
      const end = to?.at;
      letGo();
      if (end && end !== model.get("spans")[number].start) send("move", number, end);
      else choose(number);
    });
    held.addEventListener("pointercancel", letGo);
    held.addEventListener("click", (event) => event.stopPropagation());
    group.append(mark, held);
  }

  /* The place nearest the pointer among those the beginning may move to. */
  function nearest(event, number) {
    const spans = model.get("spans");
    const when = (at) => spots.find((one) => one.at === at)?.quarters;
    const low = when(spans[number - 1].start);
    const high = when(spans[number].end) ?? Infinity;
    const options = spots.filter((one) => one.quarters > low && one.quarters < high);
    let best = null;
    for (const spot of options) {
      const matrix = group.getScreenCTM();
      const box = spot.system.getBoundingClientRect();
      const across = Math.abs(matrix.a * spot.x + matrix.e - event.clientX);
      const down = Math.max(box.top - event.clientY, 0, event.clientY - box.bottom);
      const away = across + 3 * down;
      if (!best || away < best.away) best = { spot, away };
    }
    return best?.spot;
  }

  function choose(number) {
    if (!model.get("spans")[number]) return;
    wanted = number;
    tell();
    draw();
    send("choose", number);
  }

  function tell() {
    const span = model.get("spans")[chosen()];
    told.textContent = span ? span.spoken : `${model.get("label")}: no stretch is chosen`;
  }

  function shift(direction) {
    const number = chosen();
    const spans = model.get("spans");
    if (number < 1) return;
    const at = model.get("places").findIndex((one) => one.at === spans[number].start);
    const to = model.get("places")[at + direction];
    if (to) send("move", number, to.at);
  }

  const moves = {
    ArrowLeft: () => choose(Math.max(chosen() - 1, 0)),
    ArrowRight: () => choose(Math.min(chosen() + 1, model.get("spans").length - 1)),
    Home: () => choose(0),
    End: () => choose(model.get("spans").length - 1),
    Enter: () => send("split", chosen()),
    Delete: () => send("join", chosen()),
    Backspace: () => send("join", chosen()),
    " ": () => send("lock", chosen()),
  };
  el.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !moves[event.key]) return;
    event.preventDefault();
    const isArrow = event.key === "ArrowLeft" || event.key === "ArrowRight";
    if (event.shiftKey && isArrow) shift(event.key === "ArrowLeft" ? -1 : 1);
    else moves[event.key]();
  });

  const show = () => {
    wanted = null;
    el.setAttribute("aria-label", `${model.get("label")}. ${model.get("about")}`);
    el.dataset.revision = model.get("revision");
    tell();
    draw();
  };
  const onDrawn = (event) => {
    if (event.detail.desk === model.get("desk")) draw();
  };
  document.addEventListener("harmony:drawn", onDrawn);
  const stop = follow(model, ["revision"], show);
  return () => {
    stop();
    group?.remove();
    document.removeEventListener("harmony:drawn", onDrawn);
  };
}

export default { render };
