// Names of controls, and places that are read out; it shows nothing itself.

const OUTPUTS = ".jp-OutputArea-output, .output_area";
const FIELDS = ".noUi-handle, input, select, textarea, [role=progressbar]";
const NAMED = `${FIELDS}, .progress, .widget-html`;

function put(node, name, value) {
  if (node.getAttribute(name) !== value) node.setAttribute(name, value);
}

// A slider writes its value text anew at each move, and never with a unit.
function sayInWords(handle, unit) {
  const say = () => put(handle, "aria-valuetext", `${Number(handle.getAttribute("aria-valuenow"))} ${unit}`.trim());
  new MutationObserver(say).observe(handle, { attributes: true, attributeFilter: ["aria-valuetext", "aria-valuenow"] });
  say();
}

// ipywidgets swallows a comma or a point in a field of whole numbers, so that 9,5 would become 95.
function onlyWhole(field, control, name, unit) {
  let refused = false;
  function refuse(event) {
    event.preventDefault();
    event.stopPropagation();
    if (refused) return;
    refused = true;
    const now = control.get("value"), what = /clicks/.test(`${name} ${unit}`) ? "clicks" : "numbers";
    field.value = now;
    field.setCustomValidity(`Whole ${what} only; ${now} stays in force.`);
    field.reportValidity();
  }
  function again() {
    refused = false;
    field.setCustomValidity("");
  }
  field.addEventListener("keydown", (event) => {
    if (event.key === "," || event.key === "." || (refused && /^\d$/.test(event.key))) refuse(event);
    else if (event.key.length > 1 && event.key !== "Shift") again();
  }, true);
  field.addEventListener("beforeinput", (event) => {
    if (/[.,]/.test(event.data ?? "")) refuse(event);
  }, true);
  field.addEventListener("blur", again);
}

// ipywidgets' bar is only the picture of one.
function tellProgress(bar, control) {
  const [low, high, now] = ["min", "max", "value"].map((name) => control.get(name));
  put(bar, "role", "progressbar");
  put(bar, "aria-valuemin", "0");
  put(bar, "aria-valuemax", "100");
  put(bar, "aria-valuenow", String(Math.round((100 * (now - low)) / (high - low))));
}

async function render({ model, el }) {
  el.classList.add("suspension-lab-names");
  const found = (name) =>
    Promise.all(model.get(name).map((each) => model.widget_manager.get_model(each.slice("IPY_MODEL_".length))));
  const [controls, labels, told] = await Promise.all(["controls", "labels", "told"].map(found));
  const units = model.get("units");
  const speaking = new WeakSet();
  const viewsOf = (each) => Promise.all(Object.values(each.views ?? {}));
  let root = null, asked = 0;

  function nameOne(view, control, name, unit) {
    const bar = view.el.querySelector(".progress");
    if (bar) tellProgress(bar, control);
    for (const field of view.el.querySelectorAll(FIELDS)) {
      put(field, "aria-label", name);
      if (control.get("_model_name") === "IntTextModel" && !speaking.has(field)) {
        onlyWhole(field, control, name, unit);
        speaking.add(field);
      }
      if (!field.matches(".noUi-handle")) continue;
      put(field, "aria-disabled", String(Boolean(control.get("disabled"))));
      if (!speaking.has(field)) sayInWords(field, unit);
      speaking.add(field);
    }
  }

  async function nameAll() {
    asked = 0;
    for (const [i, control] of controls.entries()) {
      for (const view of await viewsOf(control)) nameOne(view, control, labels[i].get("value"), units[i]);
    }
    for (const each of told) for (const view of await viewsOf(each)) put(view.el, "role", "status");
  }
  function soon() {
    asked ||= requestAnimationFrame(nameAll);
  }

  // Views may come after this one, and once more when a notebook shows the same bench twice.
  const toName = (node) => node.nodeType === 1 && (node.matches(NAMED) || node.querySelector(NAMED));
  const coming = new MutationObserver((changes) => {
    if (changes.some((change) => Array.from(change.addedNodes).some(toName))) soon();
  });
  const placed = new ResizeObserver(() => {
    if (root || !el.isConnected) return;
    root = el.closest(OUTPUTS) ?? document.body;
    root.classList.add("suspension-lab");
    ownKeys(root);
    coming.observe(root, { childList: true, subtree: true });
    soon();
  });
  placed.observe(el);

  // A slider's value is told by its handle; only a progress bar has nobody to tell it.
  const isBar = (each) => each.get("_model_name").endsWith("ProgressModel");
  const events = (each) => `change:disabled change:min change:max${isBar(each) ? " change:value" : ""}`;
  for (const each of controls) each.on(events(each), soon);
  for (const each of labels) each.on("change:value", soon);
  return () => {
    placed.disconnect();
    coming.disconnect();
    cancelAnimationFrame(asked);
    for (const each of controls) each.off(events(each), soon);
    for (const each of labels) each.off("change:value", soon);
  };
}

export default { render };
