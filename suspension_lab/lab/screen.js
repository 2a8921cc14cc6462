// The right side of a bench: picture, sentences, table and cautions. It computes nothing.

const PATIENCE_MS = 150; // a picture that comes within this time is not called out of date

function paragraphs(parent, sentences) {
  while (parent.children.length > sentences.length) parent.lastElementChild.remove();
  while (parent.children.length < sentences.length) make("p", "", parent);
  sentences.forEach((sentence, i) => say(parent.children[i], sentence));
}

async function controlModels(model) {
  const names = Object.keys(model.get("controls"));
  const found = await Promise.all(
    names.map((name) => model.widget_manager.get_model(model.get("controls")[name].slice("IPY_MODEL_".length))),
  );
  return Object.fromEntries(names.map((name, i) => [name, found[i]]));
}

function valueOf(control) {
  const value = control.get("value");
  return value === undefined ? control.get("index") : value;
}

async function playerModel(model) {
  const reference = model.get("player");
  return reference ? model.widget_manager.get_model(reference.slice("IPY_MODEL_".length)) : null;
}

// Rings and lines over the picture that follow the player's moment; a number read off the picture would have to be drawn anew.
function showMarks(model, figure, player) {
  const width = model.get("picture_width");
  const image = figure.querySelector("img");
  if (!image || !image.naturalWidth) return;
  const height = (width * image.naturalHeight) / image.naturalWidth;
  const marks = model.get("marks");
  const signals = player.get("signals"), columns = player.get("columns");
  const data = new DataView(signals.buffer, signals.byteOffset, signals.byteLength);
  const last = signals.byteLength / (4 * columns.length) - 1;
  if (last < 0) return;
  const row = Math.max(0, Math.min(last, Math.round(player.get("moment") / player.get("step"))));
  const value = (column) => data.getFloat32(4 * (row * columns.length + columns.indexOf(column)), true);
  const rings = [...figure.querySelectorAll(".bench-mark")];
  while (rings.length < marks.length) rings.push(make("span", "bench-mark", figure));
  rings.forEach((ring, i) => {
    const mark = marks[i];
    ring.hidden = !mark;
    if (!mark) return;
    const [left, top, across, down] = mark.box;
    const share = (limits, at) => (at - limits[0]) / (limits[1] - limits[0]);
    const line = mark.look === "line", x = share(mark.x, value(mark.columns[0]));
    const y = line ? 1 : share(mark.y, mark.unit * value(mark.columns[1]));
    ring.hidden = !(x >= 0 && x <= 1 && y >= 0 && y <= 1);
    ring.style.transform = `translate(${width * (left + across * x)}px, ${height * (top + down * (1 - y))}px)`;
    ring.style.height = line ? `${height * down}px` : "";
    ring.dataset.look = mark.look;
  });
}

// The point of the picture's area under the pointer, within the area's limits; null beside it.
function pointIn(model, figure, event) {
  const area = model.get("area");
  const image = figure.querySelector("img");
  if (!area.box || !image) return null;
  const seen = image.getBoundingClientRect();
  const [left, top, across, down] = area.box;
  const x = ((event.clientX - seen.left) / seen.width - left) / across;
  const y = 1 - ((event.clientY - seen.top) / seen.height - top) / down;
  if (!(x >= 0 && x <= 1 && y >= 0 && y <= 1)) return null;
  return [area.x[0] + x * (area.x[1] - area.x[0]), area.y[0] + y * (area.y[1] - area.y[0])];
}

async function render({ model, el }) {
  el.classList.add("bench-screen");
  const stale = make("div", "bench-stale", el);
  stale.setAttribute("role", "status");
  const stage = make("div", "bench-stage", el);
  const player = await playerModel(model);
  if (player) {
    const view = await model.widget_manager.create_view(player);
    stage.append(view.el);
  }
  const figure = make("figure", "bench-figure", stage);
  let shown = make("img", "", figure);
  shown.alt = "The picture is being made.";
  figure.addEventListener("pointermove", (event) => {
    figure.style.cursor = pointIn(model, figure, event) ? "crosshair" : "";
  });
  figure.addEventListener("click", (event) => {
    const point = pointIn(model, figure, event);
    if (!point) return;
    model.set("picked", [...point, model.get("picked")[2] + 1]);
    model.save_changes();
  });
  const words = make("div", "bench-words", el);
  words.setAttribute("aria-live", "polite");
  const table = make("table", "bench-table", el);
  const more = make("details", "bench-more", el);
  make("summary", "", more, "More measures");
  const moreTable = make("table", "bench-table", more);
  const cautions = make("section", "bench-cautions", el);
  cautions.setAttribute("aria-label", "Before you act on this");

  let latest = 0;
  async function showPicture() {
    const bytes = model.get("png");
    if (!bytes || !bytes.byteLength) return;
    const mine = ++latest;
    const next = new Image();
    next.src = URL.createObjectURL(new Blob([bytes], { type: "image/png" }));
    next.alt = model.get("alt");
    next.style.width = `${model.get("picture_width")}px`;
    await next.decode();
    // Swapped only once it is decoded, and never for an older one: no moment without a picture.
    if (mine !== latest) return URL.revokeObjectURL(next.src);
    const old = shown;
    old.replaceWith(next);
    shown = next;
    if (old.src) URL.revokeObjectURL(old.src);
    figure.dataset.serial = model.get("serial");
    figure.setAttribute("aria-busy", String(model.get("more_coming")));
    if (player) {
      player.set("awaited", -Infinity);
      showMarks(model, figure, player);
    }
  }

  function showTables() {
    const caption = model.get("table_caption"), seldom = new Set(model.get("seldom"));
    const [heads, ...rows] = model.get("table");
    const [often, rest] = [false, true].map((folded) => rows.filter((row) => seldom.has(row[0]) === folded));
    fillTable(table, caption, heads ? [heads, ...often] : []);
    more.hidden = !rest.length;
    fillTable(moreTable, `More measures. ${caption}`, rest.length ? [heads, ...rest] : []);
  }

  function showText() {
    // While more is coming the words keep their room: the table under them would jump up and down again.
    if (!model.get("more_coming")) words.style.minHeight = "";
    else if (!words.style.minHeight) words.style.minHeight = `${words.offsetHeight}px`;
    paragraphs(words, model.get("words"));
    showTables();
    paragraphs(cautions, model.get("cautions"));
    words.classList.toggle("bench-refused", model.get("refused"));
  }

  const controls = await controlModels(model);
  let timer = 0;
  function outOfDate() {
    const made = model.get("shown_for");
    return Object.entries(controls).some(([name, control]) => made[name] !== undefined && made[name] !== valueOf(control));
  }
  function judge() {
    const late = outOfDate();
    say(stale, late ? "Out of date: this is still the picture of the settings before. The new one is on its way." : "");
    figure.classList.toggle("bench-old", late);
  }
  function watch() {
    clearTimeout(timer);
    if (outOfDate()) timer = setTimeout(judge, PATIENCE_MS);
    else judge();
    if (player && outOfDate()) player.set("awaited", performance.now());
  }

  model.on("change:serial", () => {
    showPicture();
    showText();
    watch();
  });
  Object.values(controls).forEach((control) => control.on("change:value change:index", watch));

  const follow = () => showMarks(model, figure, player);
  if (player) player.on("change:moment", follow);

  let wait = 0;
  const observer = new ResizeObserver(() => {
    clearTimeout(wait);
    wait = setTimeout(() => {
      const width = Math.floor(figure.getBoundingClientRect().width);
      if (width < 100) return;
      model.set("room", [width, Math.min(window.devicePixelRatio || 1, 2)]);
      model.save_changes();
    }, 120);
  });
  observer.observe(figure);

  showText();
  await showPicture();
  return () => {
    observer.disconnect();
    if (player) player.off("change:moment", follow);
    Object.values(controls).forEach((control) => control.off("change:value change:index", watch));
  };
}

export default { render };
