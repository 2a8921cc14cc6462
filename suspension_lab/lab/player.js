// What pictures that play share: their pen, their signals, and their transport (button, speed, time, frames).

const INK = "#111", FONT = '12px Arial, "Liberation Sans", Helvetica, sans-serif';
const REPEAT_PAUSE = 0.6, READING_MS = 90, BUSY_MS = 250;
const SPEEDS = [["real time", 1], ["4 times slower", 0.25], ["10 times slower", 0.1]];

const clamp = (x, low = 0, high = 1) => Math.min(Math.max(x, low), high);

function polygon(ctx, points) {
  ctx.beginPath();
  points.forEach(([x, y], i) => (i ? ctx.lineTo(x, y) : ctx.moveTo(x, y)));
  ctx.closePath();
}

function solid(ctx, fill, line = 1.5) {
  ctx.fillStyle = fill;
  ctx.fill();
  ctx.lineWidth = line;
  ctx.strokeStyle = INK;
  ctx.stroke();
}

function box(ctx, x, y, w, h, fill, line = 1.5) {
  ctx.beginPath();
  ctx.rect(x, y, w, h);
  solid(ctx, fill, line);
}

function disc(ctx, x, y, r, fill = INK, line = 0.1) {
  ctx.beginPath();
  ctx.arc(x, y, r, 0, 7);
  solid(ctx, fill, line);
}

function hatch(ctx, scale, ground, rising) {
  const tile = document.createElement("canvas"), size = Math.round(8 * scale); // whole pixels, or seams would show
  tile.width = tile.height = size;
  const pen = tile.getContext("2d");
  pen.scale(size / 8, size / 8);
  pen.fillStyle = ground;
  pen.fillRect(0, 0, 8, 8);
  pen.strokeStyle = "#6b6b6b";
  for (const k of [-8, 0, 8]) pen.stroke(new Path2D(rising ? `M${k - 1} 9L${k + 9} -1` : `M${k - 1} -1L${k + 9} 9`));
  const pattern = ctx.createPattern(tile, "repeat");
  pattern.setTransform(new DOMMatrix().scale(8 / size));
  return pattern;
}

// Numbers that were handed over as bytes.
function floats(bytes) {
  const start = bytes.byteOffset ?? 0;
  return new Float32Array((bytes.buffer ?? bytes).slice(start, start + 4 * Math.floor(bytes.byteLength / 4)));
}

// One row of numbers for each column, or null where there is no run yet.
function readSignals(model, name = "signals") {
  const [columns, step, bytes] = ["columns", "step", name].map((key) => model.get(key));
  const count = bytes && columns.length ? Math.floor(bytes.byteLength / 4 / columns.length) : 0;
  if (count < 2 || !(step > 0)) return null;
  const table = floats(bytes), series = {}, zeros = new Float32Array(count);
  columns.forEach((column, j) => (series[column] = zeros.map((_, i) => table[i * columns.length + j] || 0)));
  const between = (row, t) => {
    const x = clamp(t / step, 0, count - 1), i = Math.min(Math.floor(x), count - 2);
    return row[i] + (row[i + 1] - row[i]) * (x - i);
  };
  return { series, zeros, step, between, start: 0, end: (count - 1) * step };
}

// The transport. `name` begins the class names; what is shown goes into `into`; `nothing` is said where there is no run.
// `build(shown, controls, transport)` puts `controls` where they belong and returns the picture:
//   watched: its element; while that is out of sight nothing is drawn,
//   take(): reads the run anew and returns it (start and end in seconds, and whether a new run that plays `restarts`),
//     or null where there is none,
//   fit(scale): device pixels per screen pixel are others,
//   rests(now), if it has that: whether it stands still although it plays,
//   draw(t), read(t): the picture, and its numbers in words, which come more rarely while it plays.
function startPlayer({ model, el, name, into, nothing, build }) {
  for (const each of ["player", name]) el.classList.add(each);
  const message = make("p", "player-message", into), shown = make("div", "", into);
  message.setAttribute("role", "status");
  const controls = make("div", `player-controls ${name}-controls`);
  const play = make("button", "", controls), speed = make("select", "", controls), slider = make("input", "", controls);
  play.type = "button";
  speed.setAttribute("aria-label", "Speed of play");
  SPEEDS.forEach(([text, rate]) => (make("option", "", speed, text).value = rate));
  speed.value = 0.25;
  Object.assign(slider, { type: "range", step: "any" });
  slider.setAttribute("aria-label", "Time in the run");

  let run = null, scale = 0, t = model.get("moment") || 0;
  let playing = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  let handle = 0, before = 0, hold = 0, read = 0, seen = true;

  function show(now = performance.now()) {
    if (!run) return;
    const ratio = Math.min(window.devicePixelRatio || 1, 3);
    if (scale !== ratio) picture.fit((scale = ratio));
    model.set("moment", t);
    if (seen) picture.draw(t);
    if (playing && now - read < READING_MS) return;
    read = now;
    slider.value = t;
    slider.setAttribute("aria-valuetext", `${t.toFixed(2)} s of ${run.end.toFixed(2)} s`);
    picture.read(t);
  }

  function frame(now) {
    const passed = picture.rests?.(now) ? 0 : Math.min((now - before) / 1000, 0.1);
    before = now;
    if (hold > 0) {
      hold -= passed;
      if (hold <= 0) t = run.start;
    } else if ((t += passed * speed.value) >= run.end) [t, hold] = [run.end, REPEAT_PAUSE];
    // While a new run is on its way to the pictures beside it, these come first.
    if (!(now - model.get("awaited") < BUSY_MS || picture.rests?.(now))) show(now);
    handle = requestAnimationFrame(frame);
  }

  function turn(on) {
    playing = on;
    play.textContent = on ? "Pause" : "Play";
    cancelAnimationFrame(handle);
    before = performance.now();
    if (on && run) {
      if (t >= run.end && hold <= 0) t = run.start;
      handle = requestAnimationFrame(frame);
    } else show();
  }

  function goTo(time) {
    if (run) [t, hold] = [clamp(time, run.start, run.end), 0];
    turn(false);
  }

  function take() {
    run = model.get("message") ? null : picture.take();
    message.textContent = model.get("message") || (run ? "" : nothing);
    message.hidden = !!run;
    shown.hidden = !run;
    if (run) {
      [slider.min, slider.max] = [run.start, run.end];
      if (playing && run.restarts) [t, hold] = [run.start, 0];
      else if (t > run.end) [t, hold] = [run.end, REPEAT_PAUSE];
      t = Math.max(t, run.start);
    }
    turn(playing);
  }

  const transport = {
    goTo,
    step: (seconds) => goTo(t + seconds),
    toggle: () => turn(!playing),
    refit: () => (scale = 0),
    redraw: () => {
      scale = 0;
      if (!playing) show();
    },
    get run() { return run; },
    get playing() { return playing; },
  };
  const picture = build(shown, controls, transport);
  play.addEventListener("click", transport.toggle);
  slider.addEventListener("input", () => goTo(Number(slider.value)));
  const watcher = new IntersectionObserver(([entry]) => {
    seen = entry.isIntersecting;
    if (seen && !playing) show();
  });
  watcher.observe(picture.watched);
  ownKeys(el);
  model.on("change:serial change:message", take);
  take();
  return () => {
    cancelAnimationFrame(handle);
    watcher.disconnect();
    picture.close?.();
    model.off("change:serial change:message", take);
  };
}
