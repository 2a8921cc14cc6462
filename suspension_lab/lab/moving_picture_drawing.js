// A station on its road: the run's heights to scale, body, spring and damper as signs. It draws a finished run.

const TALL = 250; // of a scene; lengths in screen pixels where nothing else is said
const BESIDE = 92; // room for the bar of the tyre load
const EDGE = 12, BODY = 0.1, HAND = 0.11, UNDER = 0.06; // body, hand over it and ground under the road [m]
const RIM = 0.6, POINTS = 96; // of the wheel's radius; of the tyre's outline
const ROUND = 0.05; // room goes up in such steps [m], so that the scale stays while a slider moves
const BAR = 24, LEAST = 2, MOST = 3; // of the tyre load: width, and limits of the load at its top
const up = (x) => Math.ceil(x / ROUND - 1e-6) * ROUND;
const ends = (row) => row.reduce(([low, high], x) => [Math.min(low, x), Math.max(high, x)], [Infinity, -Infinity]);

// A run and where it reaches, or null where there is none.
function readScene(model, signals, geometry) {
  const found = readSignals(model, signals), g = model.get(geometry);
  if (!found || !(g.radius > 0)) return null;
  const { series, between } = found, gap = series.wheel.map((w, i) => w - series.body[i]);
  const roads = Object.fromEntries(Object.entries(g.roads ?? {}).map(([heights, bytes]) => [heights, floats(bytes)]));
  return {
    ...found, g, roads, start: -g.held_for, at: (name, t) => between(series[name], t),
    body: ends(series.body), closest: Math.max(0, ends(gap)[1]), load: ends(series.tyre_load)[1],
  };
}

// Scale and room that all runs shown share; heights: how many times as high as they are.
function layOut(runs, heights) {
  const most = (pick) => Math.max(...runs.map(pick));
  const gap = up(heights * most((run) => run.closest) + 0.03);
  const over = up(heights * most((run) => run.body[1]));
  const under = UNDER + up(most((run) => -ends((run.roads[heights] ?? [0, 0]).filter((_, i) => i % 2))[0]));
  const radius = most((run) => run.g.radius);
  const scale = (TALL - 2 * EDGE) / (under + 2 * radius + gap + BODY + over + HAND);
  const top = clamp(Math.ceil(2 * most((run) => run.load)) / 2, LEAST, MOST);
  return { heights, gap, scale, top, level: TALL - EDGE - under * scale };
}

// Height of the drawn road [m] at distances from the axle; level where the station stands.
function roadAt(run, heights, axle) {
  const rows = run.roads[heights];
  if (!rows) return () => 0;
  const count = rows.length / 2, first = (x) => {
    let [low, high] = [0, count];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (rows[2 * middle] < x) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  const height = (d) => {
    const x = axle + d, i = first(x);
    if (i === 0) return rows[1];
    if (i === count) return rows[2 * count - 1];
    const part = (x - rows[2 * i - 2]) / (rows[2 * i] - rows[2 * i - 2]);
    return rows[2 * i - 1] + part * (rows[2 * i + 1] - rows[2 * i - 1]);
  };
  height.between = (from, to) => {
    const inside = [];
    for (let i = first(axle + from); i < count && rows[2 * i] < axle + to; i++) inside.push([rows[2 * i] - axle, rows[2 * i + 1]]);
    return inside;
  };
  return height;
}

function pen(ctx, [colour, dashes, width], wider = 1) {
  ctx.strokeStyle = colour;
  ctx.lineWidth = width * wider;
  ctx.setLineDash(dashes.map((each) => each * width * wider));
}

function drawRoad(ctx, road, p, cx, wide, looks, rolled) {
  const [from, to] = [-cx / p.scale, (wide - cx) / p.scale];
  const points = [[from, road(from)], ...(road.between?.(from, to) ?? []), [to, road(to)]];
  const place = ([d, h]) => [cx + d * p.scale, p.level - h * p.scale];
  polygon(ctx, [...points.map(place), [wide, TALL], [0, TALL]]);
  ctx.fillStyle = "#e4e4e4";
  ctx.fill();
  ctx.beginPath();
  points.map(place).forEach(([x, y]) => ctx.lineTo(x, y));
  pen(ctx, looks.road, 1.6);
  ctx.lineDashOffset = rolled * p.scale;
  ctx.stroke();
  ctx.setLineDash([]);
  ctx.lineDashOffset = 0;
  // Stones that go by: without them a level road seems to stand still.
  ctx.fillStyle = "#777";
  for (let k = Math.ceil((rolled + from) / 0.25); k * 0.25 < rolled + to; k++) {
    const d = 0.25 * k - rolled, [x, y] = place([d, road(d)]);
    ctx.fillRect(x - 2, y + 4 + 3 * (k & 1), 4, 2);
  }
}

// The tyre's outline about its axle [m]: round, pressed flat where the road is, and wider beside it.
function tyreOutline(g, axle, road, squash) {
  const points = [], R = g.radius;
  for (let k = 0; k < POINTS; k++) {
    const a = (2 * Math.PI * k) / POINTS, [s, c] = [Math.sin(a), Math.cos(a)];
    const [dx, dy] = g.round ? [R * s, -R * c] : [s, -c].map((v) => R * Math.sign(v) * Math.abs(v) ** 0.3);
    const wider = 1 + (0.9 * Math.max(0, squash) * Math.max(0, c - 0.3)) / R;
    points.push([dx * wider, Math.max(dy, road(dx * wider) - axle)]);
  }
  return points;
}

function drawWheel(ctx, g, p, cx, axle, road, squash, looks, rolled) {
  const y = p.level - axle * p.scale, r = g.radius * p.scale;
  polygon(ctx, tyreOutline(g, axle, road, squash).map(([dx, dy]) => [cx + dx * p.scale, y - dy * p.scale]));
  ctx.fillStyle = "#fbe6d8";
  ctx.fill();
  pen(ctx, looks.wheel, 1.5);
  ctx.lineDashOffset = rolled * p.scale;
  ctx.stroke();
  ctx.setLineDash([]);
  ctx.lineDashOffset = 0;
  if (g.round) {
    disc(ctx, cx, y, RIM * r, "#fff", 1);
    ctx.beginPath();
    for (let k = 0; k < 5; k++) {
      const a = rolled / g.radius + (2 * Math.PI * k) / 5;
      ctx.moveTo(cx, y);
      ctx.lineTo(cx + RIM * r * Math.cos(a), y + RIM * r * Math.sin(a));
    }
    ctx.strokeStyle = "#999";
    ctx.lineWidth = 1.5;
    ctx.stroke();
  }
  ctx.textAlign = "center";
  ctx.strokeStyle = "#fff";
  ctx.lineWidth = 4;
  ctx.strokeText("wheel", cx, y + 0.36 * r);
  ctx.fillStyle = INK;
  ctx.fillText("wheel", cx, y + 0.36 * r);
}

// Spring and damper side by side, from the axle to the body; `rest` is their length at rest.
function drawSuspension(ctx, cx, low, high, rest) {
  const beam = low - 5, coils = 7, left = cx - 17, right = cx + 17;
  ctx.beginPath();
  for (let i = 0; i <= 2 * coils; i++) {
    const swing = i === 0 || i === 2 * coils ? 0 : i % 2 ? 9 : -9;
    ctx.lineTo(left + swing, beam + ((high - beam) * i) / (2 * coils));
  }
  ctx.strokeStyle = "#fff";
  ctx.lineWidth = 5;
  ctx.lineJoin = "round";
  ctx.stroke();
  ctx.strokeStyle = INK;
  ctx.lineWidth = 2;
  ctx.stroke();
  const cylinder = 0.5 * rest;
  box(ctx, right - 2.5, high, 5, Math.max(0, beam - high - 2), "#fff", 1.2);
  box(ctx, right - 8, beam - cylinder, 16, cylinder, "#d5d5d5", 1.5);
  box(ctx, cx - 28, low - 5, 56, 6, "#444", 1);
  disc(ctx, cx, low, 4.5, "#fff", 1.5);
}

function drawHand(ctx, x, y, words) {
  const arm = [[x + 12, y - 12], [x + 62, y - 30], [x + 66, y - 19], [x + 26, y - 1]];
  polygon(ctx, arm);
  solid(ctx, "#fff", 1.5);
  ctx.beginPath();
  ctx.roundRect(x - 24, y - 12, 52, 12, 6);
  solid(ctx, "#fff", 1.5);
  ctx.beginPath();
  for (const k of [-12, -3, 6]) {
    ctx.moveTo(x + k, y - 11);
    ctx.lineTo(x + k - 2, y - 3);
  }
  ctx.lineWidth = 1;
  ctx.stroke();
  ctx.fillStyle = INK;
  ctx.textAlign = "right";
  ctx.font = `bold ${FONT}`;
  ctx.strokeStyle = "#fff";
  ctx.lineWidth = 4;
  ctx.strokeText(words, x - 8, y - 22);
  ctx.fillText(words, x - 8, y - 22);
  ctx.font = FONT;
}

function drawLoad(ctx, x, load, off, top, looks, lines) {
  const [high, low] = [36, TALL - 22], y = (share) => low - (low - high) * clamp(share / top);
  ctx.fillStyle = "#fff";
  ctx.fillRect(x, high, BAR, low - high);
  ctx.fillStyle = off ? lines : looks.tyre_load[0];
  const filled = off ? high : y(load);
  ctx.fillRect(x, filled, BAR, low - filled);
  ctx.strokeStyle = INK;
  ctx.lineWidth = 1.5;
  ctx.setLineDash(off ? [4, 3] : []);
  ctx.strokeRect(x, high, BAR, low - high);
  ctx.setLineDash([]);
  ctx.lineWidth = 2.5;
  ctx.beginPath();
  ctx.moveTo(x - 5, y(1));
  ctx.lineTo(x + BAR + 5, y(1));
  ctx.stroke();
  ctx.fillStyle = INK;
  ctx.textAlign = "left";
  for (const [share, text] of [[0, "0 %"], [1, "100 %"], [top, `${100 * top} %`]]) ctx.fillText(text, x + BAR + 7, y(share));
  ctx.textAlign = "center";
  ctx.fillText("tyre load", x + BAR / 2 + 8, 10);
  ctx.font = `bold ${FONT}`;
  ctx.fillText(off ? "none" : `${Math.round(100 * load)} %`, x + BAR / 2, 25);
  if (off) {
    box(ctx, x - 56, low - 66, 50, 34, "#fff", 1);
    ctx.fillStyle = INK;
    ["off the", "road"].forEach((word, i) => ctx.fillText(word, x - 31, low - 56 + 15 * i));
  }
  ctx.font = FONT;
  if (load > top && !off) {
    // More than the bar can show: it breaks through its top.
    polygon(ctx, [[x - 5, high], [x + BAR / 2, high - 9], [x + BAR + 5, high]].map(([a, b]) => [a, b + 6]));
    solid(ctx, looks.tyre_load[0], 1.5);
  }
  return low - filled;
}

// A scene at a time; returns what was drawn, for those who cannot see it.
function drawStation(ctx, run, p, t, wide, looks, lines) {
  const { g } = run, { heights, scale } = p, at = (name) => run.at(name, t);
  const cx = Math.round((wide - BESIDE) / 2), rolled = g.speed * Math.max(t, 0);
  const rest = g.radius - heights * g.tyre_squash, axle = rest + heights * at("wheel");
  const seat = 2 * g.radius - heights * g.tyre_squash + p.gap, body = seat + heights * at("body");
  const squash = heights * (g.tyre_squash - at("wheel") + at("road")), off = at("off_road") > 0.5;
  const road = roadAt(run, heights, rolled), y = (metres) => p.level - metres * scale;
  ctx.clearRect(0, 0, wide, TALL);
  ctx.font = FONT;
  ctx.textBaseline = "middle";
  const half = Math.min(0.62 * (wide - BESIDE), 0.62 * scale) / 2, high = BODY * scale;
  ctx.setLineDash([3, 4]);
  ctx.strokeStyle = "#555";
  ctx.lineWidth = 1;
  ctx.beginPath();
  ctx.moveTo(2, y(seat));
  ctx.lineTo(wide - BESIDE - 6, y(seat));
  ctx.stroke();
  ctx.setLineDash([]);
  drawRoad(ctx, road, p, cx, wide - BESIDE, looks, rolled);
  drawWheel(ctx, g, p, cx, axle, road, squash, looks, rolled);
  drawSuspension(ctx, cx, y(axle), y(body), (seat - rest) * scale);
  ctx.beginPath();
  ctx.roundRect(cx - half, y(body) - high, 2 * half, high, 5);
  ctx.fillStyle = looks.body[0];
  ctx.fill();
  ctx.textAlign = "center";
  ctx.fillStyle = "#fff";
  ctx.fillText("body", cx, y(body) - high / 2);
  ctx.fillStyle = INK;
  ctx.textAlign = "left";
  ["ride", "height"].forEach((word, i) => ctx.fillText(word, 3, y(seat) - 20 + 13 * i));
  const hand = g.hand && t <= g.hand_until, force = Math.round(Math.abs(at("hand_force")));
  if (hand) drawHand(ctx, cx, y(body) - high, g.hand === "release" ? "held down" : `pushes, ${force} N`);
  box(ctx, 8, TALL - 9, 0.2 * scale, 3, INK, 0.1);
  ctx.textAlign = "left";
  ctx.fillText("200 mm", 14 + 0.2 * scale, TALL - 8);
  const bar = drawLoad(ctx, wide - BESIDE + 22, at("tyre_load"), off, p.top, looks, lines);
  return { axle: y(axle), body: y(body), level: p.level, bar: off ? 0 : bar, off, hand };
}
