// Questions of a lesson as native fieldsets: answers go to Python, replies come back. It knows no truth.

let sheets = 0;

function render({ model, el }) {
  el.classList.add("question-sheet");
  const group = `sheet-${++sheets}`;
  const parts = {};

  function answered(key, value) {
    model.set("answers", { ...model.get("answers"), [key]: value });
    model.save_changes();
  }
  function press(key) {
    model.set("pressed", [key, model.get("pressed")[1] + 1]);
    model.save_changes();
  }
  function button(parent, text, key) {
    const made = make("button", "", parent, text);
    made.type = "button";
    made.addEventListener("click", () => press(key));
    return made;
  }

  for (const question of model.get("questions")) {
    const field = make("fieldset", "", el), fields = [], mine = [];
    make("legend", "", field, question.text);
    question.options.forEach((option, i) => {
      const label = make("label", "question-option", field);
      const choice = make("input", "", label);
      Object.assign(choice, { type: "radio", name: `${group}-${question.key}`, value: option, id: `${group}-${question.key}-${i}` });
      make("span", "", label, option);
      mine.push(make("span", "question-mine", label));
      choice.addEventListener("change", () => answered(question.key, option));
      fields.push(choice);
    });
    if (!question.options.length) {
      const label = make("label", "question-number", field, "Your answer ");
      const number = make("input", "", label);
      Object.assign(number, { type: "text", inputMode: "decimal", autocomplete: "off", size: 8 });
      make("span", "", label, ` ${question.unit}`);
      number.addEventListener("input", () => answered(question.key, number.value));
      number.addEventListener("keydown", (event) => {
        if (event.key === "Enter") press(model.get("one_button") ? "" : question.key);
      });
      fields.push(number);
    }
    const check = model.get("one_button") ? null : button(field, model.get("button"), question.key);
    const reply = make("p", "question-reply", field);
    reply.setAttribute("role", "status");
    parts[question.key] = { fields, mine, reply, check };
  }
  const all = model.get("one_button") ? button(el, model.get("button"), "") : null;
  const said = make("p", "question-reply", el);
  said.setAttribute("role", "status");

  function show() {
    const answers = model.get("answers"), replies = model.get("replies"), locked = model.get("locked");
    for (const [key, { fields, mine, reply, check }] of Object.entries(parts)) {
      for (const field of fields) {
        field.disabled = locked;
        if (field.type === "radio") field.checked = answers[key] === field.value;
        else if (field.value !== (answers[key] ?? "")) field.value = answers[key] ?? "";
      }
      mine.forEach((mark, i) => say(mark, locked && fields[i].checked ? "your prediction" : ""));
      if (check) check.disabled = locked;
      const [kind, text] = replies[key] ?? ["", ""];
      say(reply, text);
      reply.dataset.kind = kind;
    }
    if (all) all.hidden = locked;
    say(said, model.get("said"));
  }
  const events = "change:answers change:replies change:locked change:said";
  model.on(events, show);
  ownKeys(el);
  show();
  return () => model.off(events, show);
}

export default { render };
