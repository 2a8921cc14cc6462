// A mark by which a page of the class view knows that leaving it would lose answers; it shows nothing itself.

function render({ model, el }) {
  el.hidden = true;
  const mark = () => el.toggleAttribute("data-unwritten", model.get("unwritten"));
  model.on("change:unwritten", mark);
  mark();
  return () => model.off("change:unwritten", mark);
}

export default { render };
