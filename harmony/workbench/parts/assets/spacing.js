/* A sonority against the harmonic series, with its facts, and lines over the whole progression.

   Python writes the pictures; here they are put on the page and saved as SVG or PNG. */

const PNG_SCALE = 3; // pixels a unit of the picture, enough for print

function render({ model, el }) {
  el.classList.add("hw-part", "hw-spacing");
  keepKeysHere(el);
  const heading = make("h4", { class: "hw-spacing-heading" });
  const message = make("p", { class: "hw-spacing-message", role: "status" });
  const picture = make("div", { class: "hw-spacing-picture" });
  const facts = make("dl", { class: "hw-spacing-facts" });
  const save = (kind, label) => {
    const button = make("button", { type: "button" }, label);
    button.addEventListener("click", () => savePicture(kind));
    return button;
  };
  const buttons = make("div", { class: "hw-spacing-save" },
    save("svg", "Save the picture as SVG"), save("png", "Save the picture as PNG"));
  const course = make("div", { class: "hw-spacing-course" });
  el.append(course, heading, message,
    make("div", { class: "hw-spacing-body" }, picture, make("div", {}, facts, buttons)));

  /* Black on white, whatever the page's theme, and with its own measures. */
  function standalone() {
    const drawn = picture.querySelector("svg").cloneNode(true);
    const { width, height } = drawn.viewBox.baseVal;
    drawn.setAttribute("width", width);
    drawn.setAttribute("height", height);
    drawn.setAttribute("color", "#000");
    drawn.prepend(shape("rect", { width, height, fill: "#fff" }));
    return { text: new XMLSerializer().serializeToString(drawn), width, height };
  }

  async function savePicture(kind) {
    if (!picture.querySelector("svg")) return;
    const { text, width, height } = standalone();
    const svg = new Blob([text], { type: "image/svg+xml" });
    if (kind === "svg") return hand(svg, "svg");
    const image = new Image();
    image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(text)}`;
    await image.decode();
    const canvas = make("canvas", { width: width * PNG_SCALE, height: height * PNG_SCALE });
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    canvas.toBlob((png) => hand(png, "png"), "image/png");
  }

  function hand(blob, ending) {
    const address = URL.createObjectURL(blob);
    const link = make("a", { href: address, download: `${model.get("file_name")}.${ending}` });
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 10_000);
  }

  /* What stays is not drawn anew. */
  const drawn = new Map();
  const put = (place, drawing) => {
    if (drawn.get(place) !== drawing) place.innerHTML = drawing;
    drawn.set(place, drawing);
  };

  const stop = follow(model, ["revision"], () => {
    heading.textContent = model.get("heading");
    message.textContent = model.get("message");
    put(picture, model.get("picture"));
    put(course, model.get("course"));
    facts.replaceChildren(...model.get("facts").flatMap((fact) => [
      make("dt", { class: fact.warning ? "hw-warned" : "" }, fact.heading),
      make("dd", {}, fact.sentence),
    ]));
    buttons.hidden = !model.get("picture");
    el.dataset.revision = model.get("revision");
  });
  const stopWidth = followWidth(model, el);
  return () => {
    stopWidth();
    stop();
  };
}

export default { render };
