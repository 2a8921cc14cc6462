// A mystery vehicle as native HTML: what is chosen goes to Python, what a test tells comes back. It knows nothing hidden.

const HEADS = ["Test", "What it tells", "Measured", "A sound one gives", "Tolerance", "Minutes"];

function button(parent, text, action) {
  const made = make("button", "", parent, text);
  made.type = "button";
  made.addEventListener("click", action);
  return made;
}

function fieldset(parent, legend) {
  const made = make("fieldset", "", parent);
  make("legend", "", made, legend);
  return made;
}

function lines(parent, texts) {
  parent.replaceChildren(...texts.map((text) => make("p", "", null, text)));
}

let screens = 0;

function render({ model, el }) {
  el.classList.add("mystery");
  ownKeys(el);
  const own = `mystery-${++screens}`;

  function ask(what, argument = "") {
    model.set("asked", [what, argument, model.get("asked")[2] + 1]);
    model.save_changes();
  }
  function choose(name, value) {
    model.set(name, value);
    model.save_changes();
  }
  function typed(field, enter) {
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") enter?.();
    });
    return field;
  }

  const top = make("div", "mystery-row", el);
  const label = make("label", "", top, "Vehicle number ");
  const number = typed(make("input", "", label), () => ask("bring", number.value));
  Object.assign(number, { type: "text", inputMode: "numeric", autocomplete: "off", size: 8 });
  button(top, "Bring it in", () => ask("bring", number.value));
  const another = button(top, "Another vehicle", () => ask("another"));
  const refusal = make("p", "mystery-refusal", el);
  refusal.setAttribute("role", "alert");

  const card = make("table", "mystery-table mystery-card", el);

  const tests = fieldset(el, "Tests: each costs its minutes");
  const testList = make("div", "mystery-tests", tests);

  const roll = make("div", "mystery-roll", el);
  const sheet = make("table", "mystery-table", roll);
  const caption = make("caption", "", sheet);
  const headRow = make("tr", "", make("thead", "", sheet));
  for (const head of HEADS) make("th", "", headRow, head).scope = "col";
  const body = make("tbody", "", sheet);
  const total = make("p", "mystery-total", el);
  const news = make("p", "mystery-news", el);
  news.setAttribute("role", "status");

  const decision = make("div", "mystery-decision", el);
  const causes = fieldset(decision, "Diagnosis: what is wrong?");
  const clicks = fieldset(decision, "Clicks to set, out from closed");
  const remedies = fieldset(decision, "Work to order");
  const deliver = button(el, "Hand the vehicle over", () => ask("hand_over"));
  deliver.classList.add("mystery-deliver");

  const result = make("div", "mystery-result", el);
  result.tabIndex = -1;
  const careful = make("details", "mystery-careful", el);
  make("summary", "", careful, "What a careful hand would have done");
  const steps = make("ol", "", careful);
  const cautions = make("div", "mystery-cautions", el);
  cautions.setAttribute("role", "note");
  cautions.setAttribute("aria-label", "Cautions");

  function showTests() {
    testList.replaceChildren();
    model.get("tests").forEach((test, i) => {
      const line = make("div", "mystery-test", testList);
      const press = button(line, `${test.name}: ${test.minutes} min`, () => ask("test", test.key));
      make("span", "", line, test.how).id = `${own}-how-${i}`;
      press.setAttribute("aria-describedby", `${own}-how-${i}`);
    });
  }

  function showChoices() {
    causes.querySelectorAll("label").forEach((each) => each.remove());
    for (const [key, text] of model.get("causes")) {
      const line = make("label", "mystery-option", causes);
      const radio = make("input", "", line);
      Object.assign(radio, { type: "radio", name: `${own}-cause`, value: key });
      radio.addEventListener("change", () => choose("diagnosis", key));
      make("span", "", line, text);
    }
    clicks.querySelectorAll("label, p").forEach((each) => each.remove());
    make("p", "", clicks, "0 is closed and hardest. An empty field leaves the adjuster as it stands.");
    for (const { key, label: name, most } of model.get("adjusters")) {
      const line = make("label", "mystery-clicks", clicks);
      make("span", "", line, `${name}, 0 to ${most}`);
      const field = typed(make("input", "", line));
      Object.assign(field, { type: "text", inputMode: "numeric", autocomplete: "off", size: 4 });
      field.dataset.key = key;
      field.addEventListener("input", () => choose("clicks", { ...model.get("clicks"), [key]: field.value }));
    }
    remedies.querySelectorAll("label").forEach((each) => each.remove());
    for (const { key, name, minutes } of model.get("remedies")) {
      const line = make("label", "mystery-option", remedies);
      const box = make("input", "", line);
      Object.assign(box, { type: "checkbox", value: key });
      box.addEventListener("change", () => {
        const others = model.get("ordered").filter((each) => each !== key);
        choose("ordered", box.checked ? [...others, key] : others);
      });
      make("span", "", line, `${name}: ${minutes} min`);
    }
  }

  function showVehicle() {
    number.value = String(model.get("number"));
    card.replaceChildren();
    make("caption", "", card, `Vehicle ${model.get("number")}: its sheet`);
    const rows = make("tbody", "", card);
    for (const [name, text] of model.get("card")) {
      const row = make("tr", "", rows);
      make("th", "", row, name).scope = "row";
      make("td", "", row, text);
    }
    showTests();
    showChoices();
    showState();
  }

  function showState() {
    const locked = model.get("handed_over");
    const rows = model.get("rows");
    caption.textContent = rows.length
      ? `The workshop's sheet, vehicle ${model.get("number")}`
      : `The workshop's sheet, vehicle ${model.get("number")}: no test done yet`;
    body.replaceChildren();
    for (const cells of rows) {
      const row = make("tr", cells[5] ? "mystery-first" : "", body);
      cells.forEach((text, i) => {
        const cell = make(i ? "td" : "th", "", row, text);
        if (!i) cell.scope = "row";
      });
    }
    total.textContent = `Minutes for tests so far: ${model.get("minutes")}`;
    for (const each of testList.querySelectorAll("button")) each.disabled = locked;
    for (const radio of causes.querySelectorAll("input")) {
      radio.checked = radio.value === model.get("diagnosis");
      radio.disabled = locked;
    }
    for (const field of clicks.querySelectorAll("input")) {
      const text = model.get("clicks")[field.dataset.key] ?? "";
      if (field.value !== text) field.value = text;
      field.disabled = locked;
    }
    for (const box of remedies.querySelectorAll("input")) {
      box.checked = model.get("ordered").includes(box.value);
      box.disabled = locked;
    }
    const moves = locked && !deliver.disabled && el.contains(document.activeElement);
    deliver.disabled = locked;
    say(news, model.get("news"));
    say(refusal, model.get("refusal"));
    result.hidden = careful.hidden = !locked;
    lines(result, model.get("result"));
    steps.replaceChildren(...model.get("careful").map((text) => make("li", "", null, text)));
    if (!locked) careful.open = false;
    lines(cautions, model.get("cautions"));
    if (moves) result.focus();
  }

  const vehicle = "change:number change:card change:tests change:causes change:adjusters change:remedies";
  const state =
    "change:rows change:minutes change:diagnosis change:clicks change:ordered change:news change:refusal " +
    "change:handed_over change:result change:careful change:cautions";
  let asleep = 0;
  // What Python sends in one message comes as one event for each name.
  function soon(action) {
    return () => {
      asleep ||= requestAnimationFrame(() => {
        asleep = 0;
        action();
      });
    };
  }
  let whole = false;
  const refresh = soon(() => {
    if (whole) showVehicle();
    else showState();
    whole = false;
  });
  const vehicleChanged = () => {
    whole = true;
    refresh();
  };
  model.on(vehicle, vehicleChanged);
  model.on(state, refresh);
  showVehicle();
  return () => {
    cancelAnimationFrame(asleep);
    model.off(vehicle, vehicleChanged);
    model.off(state, refresh);
  };
}

export default { render };
