/* A line that tells what happened. */

function render({ model, el }) {
  el.classList.add("hw-part", "hw-message");
  const line = make("p", { role: "status" });
  el.append(line);
  return followTold(model, line, "text");
}

export default { render };
