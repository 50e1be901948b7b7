/* A line that tells what happened; faults are announced at once. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-message");
  const line = make("p", { role: "status" });
  el.append(line);
  const stop = follow(model, ["text", "tone"], () => {
    const isFault = model.get("tone") === "fault";
    line.setAttribute("role", isFault ? "alert" : "status");
    line.classList.toggle("hw-fault", isFault);
    line.textContent = model.get("text");
  });
  return stop;
}

export default { render };
