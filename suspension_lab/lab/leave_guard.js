// The browser asks before a page is left while answers are unwritten; it shows nothing itself.

function render({ model, el }) {
  el.hidden = true;
  function ask(event) {
    if (!model.get("unwritten")) return;
    event.preventDefault();
    event.returnValue = "unwritten"; // what browsers before 2023 ask for
  }
  window.addEventListener("beforeunload", ask);
  return () => window.removeEventListener("beforeunload", ask);
}

export default { render };
