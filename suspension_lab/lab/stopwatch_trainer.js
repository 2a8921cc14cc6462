// The stopwatch trainer: a release is played at real time, and a press is timed by the clock it is played with.

const PX_PER_MM = 96 / 25.4; // about life size
const TALL = 300, GROUND = 268, WHEEL_R = 44, REST = 104, BLOCK = 62;
const PUSHING_MS = 500, GUARD_MS = 350;
const TASK = "Press when the body has come to rest at ride height.";

function drawRelease(ctx, wide, metal, height, hand, freed) {
  const cx = wide / 2, top = REST - height * PX_PER_MM, half = Math.min(150, wide / 2 - 120);
  ctx.clearRect(0, 0, wide, TALL);
  ctx.font = '13px Arial, "Liberation Sans", Helvetica, sans-serif';
  ctx.textBaseline = "middle";
  ctx.fillStyle = metal;
  ctx.fillRect(0, GROUND, wide, TALL - GROUND);
  ctx.fillStyle = INK;
  ctx.fillRect(0, GROUND - 1, wide, 2);
  disc(ctx, cx, GROUND - WHEEL_R, WHEEL_R, "#fff", 5);
  disc(ctx, cx, GROUND - WHEEL_R, 7, "#fff", 2);
  box(ctx, cx - half, top, 2 * half, BLOCK, "#cfe3f1", 2);
  ctx.textAlign = "center";
  ctx.fillStyle = INK;
  ctx.fillText("body", cx, top + BLOCK / 2);
  // The mark on the road stands still, the pointer on the body meets it at ride height.
  ctx.setLineDash([7, 4]);
  ctx.lineWidth = 2;
  ctx.strokeStyle = INK;
  ctx.beginPath();
  for (const [from, to] of [[8, cx - half - 22], [cx + half + 22, wide - 8]]) {
    ctx.moveTo(from, REST);
    ctx.lineTo(to, REST);
  }
  ctx.stroke();
  ctx.setLineDash([]);
  for (const side of [-1, 1]) {
    const x = cx + side * half;
    polygon(ctx, [[x, top - 7], [x + side * 16, top], [x, top + 7]]);
    solid(ctx, "#0072b2", 1);
  }
  ctx.textAlign = "left";
  ctx.fillStyle = INK;
  ctx.fillText("ride height", 8, REST - 12);
  ctx.textAlign = "center";
  if (hand) {
    polygon(ctx, [[-13, -46], [13, -46], [13, -20], [24, -20], [0, -2], [-24, -20], [-13, -20]].map(([x, y]) => [cx + x, top + y]));
    solid(ctx, "#fff", 2);
    ctx.fillStyle = INK;
    ctx.textAlign = "left";
    ctx.fillText("hand holds it", cx + 32, top - 30);
  } else if (freed) ctx.fillText("let go", cx, 14);
}

function render({ model, el }) {
  el.classList.add("trainer");
  make("p", "trainer-task", el, `A hand holds the body down, and lets go at a moment you cannot know. ${TASK} It is at rest once it stays within a twentieth of the depth.`);
  const canvas = make("canvas", "", el);
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", `${model.get("vehicle")} from the side: the body over a wheel on the ground, and a mark at ride height. This is an exercise for the eye.`);
  const bar = make("div", "trainer-bar", el);
  const go = make("button", "trainer-go", bar, "Let go"), stop = make("button", "trainer-stop", bar, "It has settled");
  go.type = stop.type = "button";
  const each = make("label", "trainer-each", el), tick = make("input", "", each);
  tick.type = "checkbox";
  make("span", "", each, "Tell me after each try");
  const status = make("p", "trainer-said", el);
  const result = make("div", "trainer-result", el), told = make("div", "", result);
  for (const place of [status, told]) place.setAttribute("role", "status");
  const scroller = make("div", "trainer-table", result), keeping = make("div", "trainer-keep", result);
  const tries = make("table", "", scroller);
  scroller.setAttribute("role", "region");
  scroller.setAttribute("aria-label", "All tries");
  const label = make("label", "", keeping, "Your name "), name = make("input", "", label);
  Object.assign(name, { type: "text", autocomplete: "off", maxLength: 60, size: 18 });
  const keep = make("button", "", keeping, "Keep it as my watch");
  keep.type = "button";
  make("p", "trainer-hint", keeping, "Without a name it goes to my_watch.json beside this page. In a class, type your name.");
  const kept = make("p", "trainer-said", result), more = make("button", "", result, "Ten more tries");
  more.type = "button";
  told.tabIndex = -1;
  kept.setAttribute("role", "status");

  const ctx = canvas.getContext("2d"), calm = matchMedia("(prefers-reduced-motion: reduce)");
  // state: idle, pushing (on the way down), held, free, sent (waiting for Python)
  let state = "idle", began = 0, freedAt = 0, handle = 0, pressedAt = -1e9, heights, metal, scale = 0, wide = 0;
  let shown = [0, false, false], pushed = 0;

  const finished = () => model.get("told").length > 0;
  function turn(to) {
    state = el.dataset.state = to;
    const running = ["pushing", "held", "free"].includes(to);
    go.setAttribute("aria-disabled", String(to !== "idle" || finished()));
    stop.setAttribute("aria-disabled", String(!running));
  }
  function at(course, seconds) {
    const n = model.get("samples"), x = clamp(seconds / model.get("step"), 0, n - 1.001), i = Math.floor(x);
    const k = course * n + i;
    return heights[k] + (x - i) * (heights[k + 1] - heights[k]);
  }
  function fit() {
    const ratio = Math.min(window.devicePixelRatio || 1, 3), room = Math.round(clamp(el.clientWidth - 2, 300, 700));
    if (ratio === scale && room === wide) return;
    [scale, wide] = [ratio, room];
    Object.assign(canvas, { width: wide * scale, height: TALL * scale });
    Object.assign(canvas.style, { width: `${wide}px`, height: `${TALL}px` });
    ctx.scale(scale, scale);
    metal = hatch(ctx, scale, "#ececec", true);
  }
  function draw(...what) {
    if (what.length) shown = what;
    fit();
    drawRelease(ctx, wide, metal, ...shown);
  }
  function send(kind, seconds) {
    cancelAnimationFrame(handle);
    turn("sent");
    model.set("pressed", [kind, seconds, model.get("next").serial]);
    model.save_changes();
    if (document.activeElement === stop) go.focus();
  }
  function frame(now) {
    const { course } = model.get("next"), depth = model.get("depth");
    const passed = now - began;
    if (state === "pushing" && passed >= pushed) turn("held");
    if (state === "held" && now >= freedAt) {
      el.dataset.letGo = String(freedAt);
      turn("free");
    }
    if (state === "pushing") {
      const x = clamp(passed / pushed), ease = x * x * (3 - 2 * x);
      draw(-depth * ease, true, false);
    } else if (state === "held") draw(-depth, true, false);
    else draw(at(course, (now - freedAt) / 1000), false, true);
    if (state === "free" && (now - freedAt) / 1000 >= model.get("step") * (model.get("samples") - 1)) {
      send("none", 0);
      return;
    }
    handle = requestAnimationFrame(frame);
  }
  function begin() {
    began = performance.now();
    pushed = calm.matches ? 0 : PUSHING_MS;
    freedAt = began + pushed + 1000 * model.get("next").wait;
    status.textContent = "";
    turn("pushing");
    stop.focus();
    handle = requestAnimationFrame(frame);
  }
  function press(event) {
    if (!["pushing", "held", "free"].includes(state)) return;
    const now = performance.now();
    // The event's own time is when the key or finger went down, on the same clock; a hand-made event may have none.
    const when = event.timeStamp > began && event.timeStamp <= now ? event.timeStamp : now;
    pressedAt = now;
    if (when < freedAt) send("early", 0);
    else {
      draw(at(model.get("next").course, (when - freedAt) / 1000), false, true);
      send("pressed", (when - freedAt) / 1000);
    }
  }

  // A click comes when a key or finger is up again, which is late: a press counts when it goes down.
  stop.addEventListener("pointerdown", (event) => event.button === 0 && press(event));
  stop.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    if (!event.repeat) press(event);
  });
  stop.addEventListener("click", press); // as a screen reader or a switch does it
  go.addEventListener("click", () => {
    // The key that pressed is still down when the focus is back here.
    if (state === "idle" && !finished() && performance.now() - pressedAt > GUARD_MS) begin();
  });
  go.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && event.repeat) event.preventDefault();
  });
  ownKeys(el);
  tick.addEventListener("change", () => {
    model.set("tell_each", tick.checked);
    model.save_changes();
  });
  function keepIt() {
    model.set("keep", [name.value, model.get("keep")[1] + 1]);
    model.save_changes();
  }
  keep.addEventListener("click", keepIt);
  more.addEventListener("click", () => {
    if (state !== "idle") return;
    turn("sent");
    model.set("again", model.get("again") + 1);
    model.save_changes();
    go.focus();
  });
  name.addEventListener("keydown", (event) => event.key === "Enter" && keepIt());

  function show() {
    const sentences = model.get("told"), { number, of } = model.get("next"), done = finished();
    status.textContent = model.get("said");
    told.replaceChildren();
    for (const sentence of sentences) make("p", "", told, sentence);
    fillTable(tries, "All tries", model.get("table"));
    if (scroller.scrollWidth > scroller.clientWidth) scroller.tabIndex = 0;
    keeping.hidden = scroller.hidden = more.hidden = !done;
    go.textContent = done ? `All ${of} tries are made` : `Let go (try ${number} of ${of})`;
    tick.checked = model.get("tell_each");
    say(kept, model.get("kept"));
  }
  function take() {
    heights = floats(model.get("courses"));
    draw(0, false, false);
  }
  function ready() {
    if (state === "sent") turn("idle");
    show();
    if (finished() && document.activeElement === go) told.focus();
  }
  const watched = "change:said change:tell_each change:kept";
  model.on("change:courses", take);
  model.on("change:next change:told", ready);
  model.on(watched, show);
  const watcher = new ResizeObserver(() => {
    if (!el.isConnected) return;
    draw();
  });
  heights = floats(model.get("courses"));
  watcher.observe(el);
  turn("idle");
  show();
  return () => {
    cancelAnimationFrame(handle);
    watcher.disconnect();
    model.off("change:courses", take);
    model.off("change:next change:told", ready);
    model.off(watched, show);
  };
}

export default { render };
