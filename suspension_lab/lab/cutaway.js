// The animated section of a damper. It draws a finished run and computes nothing but where to draw.

const WIDTH = 448, HEIGHT = 560; // all lengths in screen pixels
const HEAD = 150, INSIDE = 172, BOTTOM = 518; // body: top of its head, top and bottom of the oil space
const FIRST = 212, PISTON = 84, STROKE = 98; // piston: its top at full extension, its height, its way
const HALF = 78, ROD = 31, WALL = 8, GAP = 5, SEPARATOR = 14; // half widths of body and rod; leak past the piston
const BASE = 484; // underside of the valve in the passage
const NEEDLE = 24, TAPER = 26, SEAT = 46, LIFT = 12; // needle's way, its taper, the seat's edge; way of the discs
const INK = "#111", ORANGE = "#E69F00", FONT = '12px Arial, "Liberation Sans", Helvetica, sans-serif';
const FASTEST = 560; // way of a mark at the largest flow of its place, per second of the run
const SPACING = 16; // between marks
const REPEAT_PAUSE = 0.6, READING_MS = 90;
const SPEEDS = [["real time", 1], ["4 times slower", 0.25], ["10 times slower", 0.1]];
const WAYS = ["rebound_bleed", "rebound_blow_off", "rebound_leak", "compression_bleed", "compression_blow_off",
  "compression_leak", "through_piston", "returning", "rod_oil"];

const clamp = (x, low = 0, high = 1) => Math.min(Math.max(x, low), high);
const fraction = (x) => x - Math.floor(x), scatter = (k) => fraction(Math.sin(k * 12.99) * 43758.55);
const mirrored = (nodes) => nodes.map(([x, y, r]) => [x, PISTON - y, r]);

function make(tag, className, parent, text = "") {
  const node = document.createElement(tag);
  if (className) node.className = className;
  node.textContent = text;
  parent.append(node);
  return node;
}

// The run as one row of numbers for each name, or null where there is none yet.
function readRun(model) {
  const [columns, step, bytes, g] = ["columns", "step", "signals", "geometry"].map((name) => model.get(name));
  const count = bytes && columns.length ? Math.floor(bytes.byteLength / 4 / columns.length) : 0;
  if (count < 2 || !(step > 0) || !g.rebound || !g.compression) return null;
  const start = bytes.byteOffset ?? 0;
  const table = new Float32Array((bytes.buffer ?? bytes).slice(start, start + 4 * count * columns.length));
  const series = {}, zeros = new Float32Array(count);
  columns.forEach((name, j) => (series[name] = zeros.map((_, i) => table[i * columns.length + j] || 0)));
  const speed = series.speed ?? zeros, idle = series.idle ?? zeros;
  const rod = (Math.PI / 4) * g.rod_diameter ** 2, ring = (Math.PI / 4) * g.piston_diameter ** 2 - rod;
  const based = g.compression_at === "reservoir";
  series.rod_oil = speed.map((v, i) => v * rod * (1 - idle[i]));
  series.through_piston = speed.map((v, i) => (based ? Math.max(v, 0) * ring * (1 - idle[i]) : 0));
  series.returning = speed.map((v, i) => (based ? Math.max(-v, 0) * rod * (1 - idle[i]) : 0));
  // Flows past the piston share one scale, flows through the passage, where only the rod's oil goes, another.
  const passed = {}, share = {}, most = (row) => (row ?? zeros).reduce((a, b) => Math.max(a, Math.abs(b)), 0);
  const aside = (way) => way === "rod_oil" || way === "returning" || (based && way.startsWith("compression"));
  for (const where of [true, false]) {
    const ways = WAYS.filter((way) => aside(way) === where);
    const largest = Math.max(1e-12, ...ways.map((way) => most(series[way])));
    for (const way of ways) {
      let sum = 0;
      share[way] = Float64Array.from(series[way] ?? zeros, (q) => q / largest);
      passed[way] = share[way].map((q) => (sum += q * FASTEST * step));
    }
  }
  const pressures = ["compression_pressure", "rebound_pressure", "gas_pressure"];
  const highest = Math.max(2e5, ...pressures.map((name) => most(series[name])));
  const between = (row, t) => {
    const x = clamp(t / step, 0, count - 1), i = Math.min(Math.floor(x), count - 2);
    return row[i] + (row[i + 1] - row[i]) * (x - i);
  };
  return {
    g, based, highest, fastest: Math.max(0.01, most(speed)), end: (count - 1) * step,
    at: (name, t) => between(series[name] ?? zeros, t),
    share: (way, t) => between(share[way], t),
    passed: (way, t) => between(passed[way], t),
  };
}

// Where everything stands in the two layouts. Labels sit in columns: x, side of the text, width, top, bottom.
function plan({ g, based }) {
  const cx = g.reservoir ? 166 : WIDTH / 2, left = cx - HALF, right = cx + HALF;
  const [away, width] = g.reservoir ? [5, 72] : [16, 112];
  const outside = { x: left - WALL - away, align: "right", width, top: 174, bottom: 536 };
  const rightColumn = { x: right + WALL + 16, align: "left", width: 112, top: 174, bottom: 536 };
  const gap = { x: 292, align: "center", width: 72, top: 174, bottom: 480 };
  const res = { left: 338, right: 438, top: based ? 190 : 300, bottom: based ? 360 : 478 };
  return { cx, left, right, res: g.reservoir ? res : null, columns: [outside, g.reservoir ? gap : rightColumn] };
}

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

function tint(run, pressure) {
  const low = run.g.vapour_pressure || 0, k = 0.1 + 0.72 * clamp((pressure - low) / (run.highest - low));
  return `rgb(${[0, 114, 178].map((c) => Math.round(255 + (c - 255) * k)).join(",")})`;
}

function drawMark(ctx, shape, x, y, r, angle) {
  ctx.save();
  ctx.translate(x, y);
  ctx.rotate(angle);
  ctx.beginPath();
  if (shape === "dot") ctx.arc(0, 0, r, 0, 7);
  else if (shape === "triangle") polygon(ctx, [[1.7 * r, 0], [-1.2 * r, 1.4 * r], [-1.2 * r, -1.4 * r]]);
  else if (shape === "dash") ctx.rect(-4, -1, 8, 2);
  else [-1, 1].forEach((s) => (ctx.moveTo(-2.5, 4 * s), ctx.lineTo(2.5, 0)));
  if (shape === "chevron") {
    ctx.strokeStyle = INK;
    ctx.lineWidth = 1.8;
    ctx.stroke();
  } else if (shape === "dot") solid(ctx, INK, 0.1); // full, for open circles are bubbles
  else solid(ctx, shape === "dash" ? INK : ORANGE, shape === "dash" ? 0.1 : 1.1);
  ctx.restore();
}

// Marks along a way: as many and as fast as the flow is large; each keeps its place in the row, so that none jumps.
function drawFlow(ctx, run, t, way, nodes, shape, places, shift = 0) {
  const flow = run.share(way, t), share = Math.abs(flow), ends = [0];
  if (share < 0.002) return;
  nodes.slice(1).forEach(([x, y], i) => ends.push(ends[i] + Math.hypot(x - nodes[i][0], y - nodes[i][1])));
  const length = ends.at(-1);
  for (let k = 0; k < places; k++) {
    const s = fraction(run.passed(way, t) / (SPACING * places) + (k + shift) / places) * length;
    const shown = k ? clamp(share * places * 1.3 - fraction(k * 0.618) * places) : clamp(share * 150);
    ctx.globalAlpha = shown * clamp(s / 7) * clamp((length - s) / 7);
    if (ctx.globalAlpha < 0.02) continue;
    const i = Math.max(1, ends.findIndex((e) => e >= s)), part = (s - ends[i - 1]) / (ends[i] - ends[i - 1] || 1);
    const [a, b] = [nodes[i - 1], nodes[i]], mix = (j) => a[j] + (b[j] - a[j]) * part;
    const angle = Math.atan2(b[1] - a[1], b[0] - a[0]) + (flow < 0 ? Math.PI : 0);
    drawMark(ctx, shape, mix(0), mix(1), mix(2) || 2.6, angle);
  }
  ctx.globalAlpha = 1;
}

// Half a piston with a circuit, seen from its axis outwards; the needle's stem is on the side y < 0.
// c: hs half the seat, up the needle's lift, discs their lift, stem and far: tints of the oil on either side,
// out: +1 where oil leaves on the far side, -1 on the stem's. supply: oil comes through the passage.
function drawCircuit(ctx, run, t, c, way, metal, stemLength, supply) {
  const gap = (c.hs * c.up) / TAPER, shoulder = SEAT - c.up, forward = c.out > 0;
  ctx.save();
  ctx.beginPath();
  ctx.rect(-1, -0.7, 84, PISTON + 1.4);
  ctx.clip();
  const spaces = [
    [[[35.5, -3, 11, 35], [29, 20, 17.5, 12], [5, 10, 26, SEAT - 10]], c.stem],
    [[[18 - c.hs, SEAT - 1, 2 * c.hs, 9], [16 - c.hs, 52, 2 * c.hs + 4, 36]], c.far],
    [[[52, -3, 16, 90]], forward ? c.stem : c.far],
  ];
  spaces.forEach(([rects]) => rects.forEach((q) => box(ctx, ...q, "#fff", 2.6)));
  spaces.forEach(([rects, colour]) => rects.forEach((q) => ((ctx.fillStyle = colour), ctx.fillRect(...q))));
  ctx.restore();
  for (const s of [-1, 1]) {
    const x = 41 + 2.4 * s, start = supply ? [[190, -12 - 2.5 * s], [x + 4, -12 - 2.5 * s], [x, -6]] : [[x, -26]];
    const inside = [[x, 22], [33, 26 - s], [s > 0 ? 29 : 18, 30], [18 + s * 10.3, Math.max(33, shoulder - 3), 2.4]];
    const seat = [[18 + s * (c.hs - gap / 2), SEAT + 3, clamp(gap / 2, 1.3, 3)], [18 + s * c.hs * 0.5, 66]];
    const nodes = [...start, ...inside, ...seat, [20 + 3 * s, PISTON], [29 + 3 * s, 100, 3], [33 + 4 * s, 116, 3]];
    drawFlow(ctx, run, t, `${way}_bleed`, forward ? nodes : nodes.reverse(), "dot", supply ? 16 : 9, s / 4);
  }
  ctx.beginPath(); // needle: stem, body, taper
  ctx.rect(15.5, -stemLength, 5, shoulder - 12 + stemLength);
  solid(ctx, "#fff", 1.2);
  const needle = [[-c.hs, -12], [c.hs, -12], [c.hs, 0], [0, TAPER], [-c.hs, 0]];
  polygon(ctx, needle.map(([x, y]) => [18 + x, shoulder + y]));
  solid(ctx, ORANGE);
  const open = clamp(run.share(`${way}_bleed`, t) * 14) * 1.05; // one-way flap
  if (forward) drawFlap(ctx, 6, PISTON, 24, open, 1);
  else drawFlap(ctx, 33.5, 0, 15, open, -1);
  const y = (d) => (forward ? PISTON + d : -d);
  const plate = (half, d, thick, fill) => box(ctx, 60 - half, Math.min(y(d), y(d + thick)), 2 * half, thick, fill, 1.2);
  for (const s of [-1, 1]) {
    const x = 60 + 5 * s, lane = -22 + 2.5 * s;
    const start = supply ? [[190, lane, 2.3], [x + 3, lane, 2.3], [x, -8]] : [[x, -24]];
    const slit = [6, 14.5].map((away) => [60 + away * s, PISTON + c.discs / 2, clamp(c.discs / 3.4, 1.2, 2.6)]);
    const end = [[60 + 14.5 * s, PISTON + 20], [60 + (s > 0 ? 14 : 16) * s, PISTON + 38]];
    const nodes = [...start, [x, PISTON - 4], ...slit, ...end];
    drawFlow(ctx, run, t, `${way}_blow_off`, forward ? nodes : mirrored(nodes), "triangle", supply ? 14 : 7, s / 4);
  }
  box(ctx, 58.7, Math.min(y(-22), y(35)), 2.6, 57, "#fff", 1);
  box(ctx, 52, y(-22) - 1, 16, 2, INK, 0.1);
  [13, 11, 8].forEach((half, i) => plate(half, c.discs + 3 * i, 3, "#fff"));
  ctx.beginPath();
  for (let i = 0; i <= 6; i++) ctx.lineTo(60 + (i % 2 ? 7 : -7), y(c.discs + 9 + ((21 - c.discs) * i) / 6));
  ctx.lineWidth = 1.5;
  ctx.stroke();
  plate(9, 30, 4, metal);
  const leak = [...(supply ? [[190, -8], [79, -8]] : [[75.5, -16]]), [75.5, -3], [75.5, PISTON + 16]];
  drawFlow(ctx, run, t, `${way}_leak`, forward ? leak : leak.reverse(), "dash", supply ? 14 : 7);
}

// A flap on its hinge; length < 0 reaches to the left, side is +1 where it opens to larger y.
function drawFlap(ctx, x, y, length, open, side) {
  ctx.save();
  ctx.translate(x, y);
  ctx.rotate(open * side * Math.sign(length));
  box(ctx, 0, side > 0 ? 0 : -3, length, 3, "#fff", 1.2);
  ctx.restore();
  disc(ctx, x, y + 1.5 * side, 2.4);
}

// Parts that stand still: body, passage, reservoir, head, legend.
function drawStill(ctx, run, place, metal) {
  const { cx, left: L, right: R, res } = place, W = WALL, out = BOTTOM + W;
  const rl = res?.left, rr = res?.right, rt = res?.top;
  const passage = () => [
    [R, 512], [rl, 512], [rl, BOTTOM], [rr, BOTTOM], [rr, rt], [rl, rt], [rl, 490], [R, 490], [R, HEAD], [R + W, HEAD],
    [R + W, 482], [rl - W, 482], [rl - W, rt - W], [rr + W, rt - W], [rr + W, out], [rl - W, out],
    [rl - W, 520], [R + W, 520],
  ];
  const rest = res ? passage() : [[R, HEAD], [R + W, HEAD]];
  polygon(ctx, [[L - W, HEAD], [L, HEAD], [L, BOTTOM], [R, BOTTOM], ...rest, [R + W, out], [L - W, out]]);
  solid(ctx, metal[0]);
  box(ctx, cx - 18, out, 36, 9, metal[1]);
  for (const s of [-1, 1]) {
    box(ctx, s < 0 ? L : cx + ROD, HEAD, HALF - ROD, INSIDE - HEAD, metal[1]);
    disc(ctx, cx + s * (ROD + 4), 161, 4);
  }
  ctx.font = FONT;
  ctx.fillStyle = INK;
  ctx.textBaseline = "middle";
  ctx.textAlign = "left";
  const shade = ctx.createLinearGradient(WIDTH - 118, 0, WIDTH - 8, 0), lowest = run.g.vapour_pressure || 0;
  [0, 1].forEach((k) => shade.addColorStop(k, tint(run, lowest + k * (run.highest - lowest))));
  ctx.fillText("oil pressure", WIDTH - 118, 12);
  box(ctx, WIDTH - 118, 21, 110, 11, shade, 1);
  ctx.fillStyle = INK;
  ctx.fillText("0", WIDTH - 118, 42);
  ctx.fillText("not to scale", WIDTH - 118, 66);
  ctx.textAlign = "right";
  ctx.fillText(`${Math.round(run.highest / 1e5)} bar`, WIDTH - 8, 42);
  ctx.textAlign = "center";
  if (res) ctx.fillText("reservoir", (rl + rr) / 2, rt - W - 9);
  ctx.textAlign = "left";
  const keys = { "Oil through:": "", needle: "dot", "blow-off": "triangle", leak: "dash", "open way": "chevron" };
  Object.entries(keys).reduce((x, [text, shape]) => {
    if (shape) drawMark(ctx, shape, x - 10, 549, 3.4, 0);
    ctx.fillStyle = INK;
    ctx.fillText(text, x, 550);
    return x + ctx.measureText(text).width + 32;
  }, 8);
}

// Labels of a column keep their order and the least way from their parts, and never overlap.
function settle(items, top, bottom) {
  const blocks = [], place = (b) => clamp(b.sum / b.n, top, bottom - b.h);
  for (const item of items) {
    let block = { sum: item.y - item.h / 2, n: 1, h: item.h, items: [item] };
    while (blocks.length && place(blocks.at(-1)) + blocks.at(-1).h > place(block)) {
      const b = blocks.pop();
      const sum = b.sum + block.sum - block.n * b.h;
      block = { sum, n: b.n + block.n, h: b.h + block.h, items: [...b.items, ...block.items] };
    }
    blocks.push(block);
  }
  for (const b of blocks) b.items.reduce((y, item) => ((item.top = y), y + item.h), place(b));
}

function wrapped(ctx, text, width) {
  const lines = [];
  for (const word of text.split(" ").filter(Boolean)) {
    const longer = lines.length ? `${lines.at(-1)} ${word}` : word;
    if (lines.length && ctx.measureText(longer).width <= width) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines;
}

function drawLabels(ctx, column, items) {
  ctx.textAlign = column.align;
  for (const item of items) {
    item.lines = [...wrapped(ctx, item.text, column.width), ...wrapped(ctx, item.words ?? "", column.width)];
    item.h = 14 * (item.lines.length + (item.state ? 1 : 0)) + 5;
    item.y = item.at[1];
  }
  settle(items, column.top, column.bottom);
  for (const item of items) {
    const wide = Math.min(column.width, Math.max(...item.lines.map((line) => ctx.measureText(line).width)));
    const reach = { left: 0, right: 0, center: wide / 2 }[column.align] + 4, side = Math.sign(item.at[0] - column.x);
    const middle = item.top + 7 * item.lines.length + 2;
    for (const [colour, width] of [["rgba(255,255,255,0.85)", 3.5], [INK, 1]]) {
      ctx.strokeStyle = ctx.fillStyle = colour;
      ctx.lineWidth = width;
      ctx.beginPath();
      ctx.moveTo(column.x + side * reach, middle);
      ctx.lineTo(...item.at);
      ctx.stroke();
      ctx.beginPath();
      ctx.arc(...item.at, 1.4 + width / 2, 0, 7);
      ctx.fill();
    }
    item.lines.forEach((line, i) => ctx.fillText(line, column.x, item.top + 9 + 14 * i, column.width));
    if (!item.state?.shown) continue;
    ctx.font = `bold ${FONT}`;
    ctx.fillText(item.state.text, column.x, item.top + 9 + 14 * item.lines.length);
    ctx.font = FONT;
  }
}

function pill(ctx, text, x, y) {
  const wide = ctx.measureText(text).width + 2;
  ctx.fillStyle = "rgba(255,255,255,0.9)";
  ctx.fillRect(x - wide / 2, y - 8, wide, 16);
  ctx.fillStyle = INK;
  ctx.textAlign = "center";
  ctx.fillText(text, x, y + 1);
}

function drawBubbles(ctx, places, count = 11) {
  for (let k = 0; k < count; k++) {
    const [x, y, w, h] = places[k % places.length], r = 2.2 + 2 * fraction(k * 0.37);
    const [u, v] = [fraction(k * 0.618 + 0.2), fraction(k * 0.755 + 0.1)];
    disc(ctx, x + 5 + (w - 10) * u, y + 5 + (h - 10) * v, r, "rgba(255,255,255,0.75)", 1.2);
  }
}

const bar = (pascal) => `${(pascal / 1e5).toFixed(Math.abs(pascal) < 1.95e6 ? 1 : 0)} bar`;
const direction = (speed) => (Math.abs(speed) < 0.005 ? "at rest" : speed > 0 ? "compression" : "rebound");

function drawScene(ctx, run, place, still, metal, t) {
  const { g } = run, { cx, left: L, right: R, res } = place, at = (name) => run.at(name, t);
  const top = FIRST + STROKE * clamp(at("travel") / g.stroke), under = top + PISTON;
  const [above, below, gasTint] = ["rebound", "compression", "gas"].map((name) => tint(run, at(`${name}_pressure`)));
  const idle = at("idle") > 0.5, foamed = ["rebound", "compression"].map((side) => at(`cavitation_${side}_side`) > 0.5);
  const fill = (colour, ...q) => ((ctx.fillStyle = colour), ctx.fillRect(...q));
  ctx.clearRect(0, 0, WIDTH, HEIGHT);
  ctx.font = FONT;
  ctx.textBaseline = "middle";

  // oil, gas and the separator between them
  fill(above, L, INSIDE, 2 * HALF, top + PISTON / 2 - INSIDE);
  fill(below, L, top + PISTON / 2, 2 * HALF, BOTTOM - top - PISTON / 2);
  const gasBox = res ?? { left: L, right: R, top: INSIDE, bottom: BOTTOM }, room = gasBox.bottom - gasBox.top;
  const full = clamp(room * g.gas_height_share, 40, res ? room - 20 : 110);
  const high = clamp(full * at("gas_volume_share"), 20, res ? room - SEPARATOR : BOTTOM - SEPARATOR - under - 44);
  const [gasTop, sep] = res ? [res.top, res.top + high] : [BOTTOM - high, BOTTOM - high - SEPARATOR];
  const wide = gasBox.right - gasBox.left;
  if (res) {
    fill(run.based ? gasTint : below, res.left, sep, wide, BOTTOM - sep);
    fill(below, R - 1, 490, res.left - R + 2, 22);
    if (run.based) fill(below, res.left, BASE - PISTON / 2, wide, BOTTOM - BASE + PISTON / 2);
  }
  fill("#fff", gasBox.left, gasTop, wide, high);
  ctx.beginPath();
  for (let k = 0; k < 110; k++) {
    ctx.rect(gasBox.left + 3 + (wide - 7) * scatter(k), gasTop + 2 + ((high - 5) * k) / 110, 1.7, 1.7);
  }
  ctx.fillStyle = "#333";
  ctx.fill();
  box(ctx, gasBox.left + 1, sep, wide - 2, SEPARATOR, metal.dark[1]);
  for (const x of [gasBox.left + 4.5, gasBox.right - 4.5]) disc(ctx, x, sep + SEPARATOR / 2, 3.5);
  if (foamed[0]) drawBubbles(ctx, [L, cx + ROD].map((x) => [x, INSIDE, HALF - ROD, top - INSIDE]));
  if (foamed[1]) drawBubbles(ctx, [[L, under + 4, 2 * HALF, (res ? BOTTOM : sep) - under - 8]], 16);
  if (idle) {
    ctx.setLineDash([4, 3]);
    box(ctx, L, under, 2 * HALF, 26, "#fff", 1.2);
    ctx.setLineDash([]);
  }
  const flow = (way, nodes, places) => drawFlow(ctx, run, t, way, nodes, "chevron", places);
  if (!res) for (const x of [cx - 62, cx + 62]) flow("rod_oil", [[x, sep - 36], [x, sep - 1]], 3);
  else if (!run.based) flow("rod_oil", [[R - 50, 501], [388, 501], [388, sep + SEPARATOR + 4]], 14);

  // rod and piston with their circuits
  const eye = 18 + top - FIRST, stems = run.based ? [-1] : [-1, 1];
  const rebound = circuit(run, "rebound", t, above, below, 1);
  const compression = circuit(run, "compression", t, above, below, -1);
  disc(ctx, cx, eye, 13, metal.rising, 1.5);
  disc(ctx, cx, eye, 6, "#fff", 1.5);
  for (const s of stems) box(ctx, cx + s * 42 - 6, eye + 11, 12, 9, "#fff");
  box(ctx, cx - 37, eye + 9, 74, 13, metal.rising);
  box(ctx, cx - ROD, eye + 22, 2 * ROD, top - eye - 22, metal.rising);
  box(ctx, cx - HALF + GAP, top, 2 * (HALF - GAP), PISTON, metal.light);
  for (const s of stems) {
    box(ctx, cx + s * 18 - 5, eye + 15, 10, top - eye - 4, "#fff");
  }
  const half = (x, y, sx, sy, ...rest) => {
    ctx.save();
    ctx.translate(x, y);
    ctx.scale(sx, sy);
    drawCircuit(ctx, run, t, ...rest);
    ctx.restore();
  };
  half(cx, top, -1, 1, rebound, "rebound", metal.light, top - eye - 15);
  const labels = [[
    { text: "rebound side", at: [L + 7, INSIDE + 28], state: { text: "○ cavitates", shown: foamed[0] } },
    { text: "rebound needle", words: g.rebound_words, at: [cx - 18, top + SEAT - rebound.up + 4] },
    { text: "piston", at: [cx - 70.5, top + 67] },
    { text: "rebound blow-off", at: [cx - 68, under + rebound.discs + 4] },
    { text: "compression side", at: [L + 7, res ? 460 : sep - 12], state: { text: "○ cavitates", shown: foamed[1] } },
  ], []];
  const blow = { text: "compression blow-off" }, needle = { text: "compression needle", words: g.compression_words };
  const separator = { text: "separator", at: [gasBox.left + (res ? 12 : wide - 12), sep + SEPARATOR / 2] };
  const gas = { text: "gas", at: [gasBox.left + (res ? 8 : wide - 8), gasTop + high / 2] };
  if (run.based) {
    const base = { ...compression, stem: below, far: gasTint, out: 1 };
    const returns = [res.right - 16, BASE - PISTON - 1, 14, PISTON + 2], free = [cx + 36, top - 1, 30, PISTON + 2];
    box(ctx, res.left + GAP, BASE - PISTON, wide - GAP, PISTON, metal.light);
    for (const [q, colour] of [[returns, gasTint], [free, below]]) {
      box(ctx, q[0], q[1] + 1, q[2], PISTON, colour);
      fill(colour, q[0] + 0.7, q[1], q[2] - 1.4, PISTON + 2);
    }
    flow("returning", [[res.right - 9, 378], [res.right - 9, BASE + 6], [res.right - 22, 501], [R - 40, 501]], 16);
    drawFlap(ctx, res.right - 1, BASE, -17, clamp(run.share("returning", t) * 14), 1);
    for (const x of [cx + 44, cx + 58]) {
      flow("through_piston", [[x, under + 30], [x, top + 2], [x + 6, top - 14], [x + 9, top - 32]], 9);
    }
    drawFlap(ctx, cx + 33, top, 35, 0.7 * clamp(run.share("through_piston", t) * 14), -1);
    half(res.right - 22, BASE, -1, -1, base, "compression", metal.light, 48, true);
    box(ctx, res.right - 49, BOTTOM + WALL, 18, 12, "#fff");
    labels[1].push({ text: "one-way valve", at: [cx + 62, top - 3] }, gas, separator);
    blow.at = [res.right - 90, BASE - PISTON - base.discs - 4];
    needle.at = [res.right - 40, BASE - SEAT + base.up - 4];
    labels[1].push(blow, needle);
  } else {
    half(cx, top, 1, 1, compression, "compression", metal.light, top - eye - 15);
    blow.at = [cx + 68, top - compression.discs - 4];
    needle.at = [cx + 18, top + SEAT - compression.up + 4];
    labels[1].push(blow, needle, ...(res ? [gas, separator] : [separator, gas]));
  }
  ctx.drawImage(still, 0, 0, WIDTH, HEIGHT);

  // words and numbers
  pill(ctx, bar(at("rebound_pressure")), L + (HALF - ROD) / 2, INSIDE + 11);
  pill(ctx, bar(at("compression_pressure")), cx, res ? 500 : sep - 12);
  pill(ctx, bar(at("gas_pressure")), (gasBox.left + gasBox.right) / 2, gasTop + high / 2);
  if (idle) pill(ctx, "free play", cx + 42, under + 13);
  place.columns.forEach((column, i) => drawLabels(ctx, column, labels[i]));
  const beside = { x: cx + 62, align: "left", width: 40, top: 126, bottom: 148 };
  drawLabels(ctx, beside, [{ text: "rod", at: [cx + ROD - 6, 139] }]);
  drawSpeed(ctx, cx, at("speed"), run.fastest);
}

function drawSpeed(ctx, cx, speed, fastest) {
  const long = Math.max(0, 42 * clamp(Math.abs(speed) / fastest) - 2), s = Math.sign(speed);
  ctx.textAlign = "right";
  ctx.fillText(direction(speed), cx - 82, 75);
  ctx.fillText(`${Math.abs(speed).toFixed(2)} m/s`, cx - 82, 91);
  if (direction(speed) === "at rest") return;
  const arrow = [[-4, -long], [4, -long], [4, long], [10, long], [0, long + 13], [-10, long], [-4, long]];
  polygon(ctx, arrow.map(([x, y]) => [cx - 66 + x, 80 + y * s]));
  solid(ctx, ORANGE);
}

function circuit(run, side, t, stem, far, out) {
  const c = run.g[side], larger = Math.max(run.g.rebound.seat_diameter, run.g.compression.seat_diameter) || 1;
  return {
    stem, far, out, hs: 4 + 4 * clamp(c.seat_diameter / larger), up: NEEDLE * clamp(c.gap / c.gap_open || 0),
    discs: LIFT * clamp(run.at(`${side}_lift`, t) / c.lift_most || 0),
  };
}

function render({ model, el }) {
  el.classList.add("cutaway");
  const message = make("p", "cutaway-message", el), shown = make("div", "", el);
  const canvas = make("canvas", "", shown), controls = make("div", "cutaway-controls", shown);
  const list = make("dl", "cutaway-readings", shown);
  message.setAttribute("role", "status");
  canvas.setAttribute("role", "img");
  const play = make("button", "", controls), speed = make("select", "", controls), slider = make("input", "", controls);
  play.type = "button";
  speed.setAttribute("aria-label", "Speed of play");
  SPEEDS.forEach(([text, rate]) => (make("option", "", speed, text).value = rate));
  speed.value = 0.25;
  Object.assign(slider, { type: "range", min: 0, step: "any" });
  slider.setAttribute("aria-label", "Time in the run");
  const names = ["time", "shaft speed", "damper force", "compression side", "rebound side", "gas"];
  const values = names.map((name) => {
    const pair = make("div", "", list);
    make("dt", "", pair, name);
    return make("dd", "", pair);
  });

  const ctx = canvas.getContext("2d"), still = document.createElement("canvas");
  let run = null, place, metal, scale = 0, t = model.get("moment") || 0;
  let playing = !matchMedia("(prefers-reduced-motion: reduce)").matches;
  let handle = 0, before = 0, hold = 0, read = 0, seen = true;

  function fit() {
    scale = Math.min(window.devicePixelRatio || 1, 3);
    for (const sheet of [canvas, still]) Object.assign(sheet, { width: WIDTH * scale, height: HEIGHT * scale });
    ctx.scale(scale, scale);
    const dark = [true, false].map((up) => hatch(ctx, scale, "#c9c9c9", up));
    metal = { rising: hatch(ctx, scale, "#e3e3e3", true), light: hatch(ctx, scale, "#ececec", false), dark };
    const pen = still.getContext("2d");
    pen.scale(scale, scale);
    drawStill(pen, run, place, metal.dark);
  }

  function show(now = performance.now()) {
    if (!run) return;
    if (scale !== Math.min(window.devicePixelRatio || 1, 3)) fit();
    model.set("moment", t);
    if (seen) drawScene(ctx, run, place, still, metal, t);
    if (playing && now - read < READING_MS) return;
    read = now;
    slider.value = t;
    slider.setAttribute("aria-valuetext", `${t.toFixed(2)} s of ${run.end.toFixed(2)} s`);
    const speed = run.at("speed", t), force = Math.round(run.at("force", t));
    [
      `${t.toFixed(2)} s`,
      `${Math.abs(speed).toFixed(2)} m/s ${direction(speed)}`,
      `${force < 0 ? "−" : ""}${Math.abs(force)} N`,
      ...["compression", "rebound", "gas"].map((name) => `${bar(run.at(`${name}_pressure`, t))} absolute`),
    ].forEach((text, i) => (values[i].textContent = text));
  }

  function frame(now) {
    const passed = Math.min((now - before) / 1000, 0.1);
    before = now;
    if (hold > 0) {
      hold -= passed;
      if (hold <= 0) t = 0;
    } else if ((t += passed * speed.value) >= run.end) [t, hold] = [run.end, REPEAT_PAUSE];
    show(now);
    handle = requestAnimationFrame(frame);
  }

  function turn(on) {
    playing = on;
    play.textContent = on ? "Pause" : "Play";
    cancelAnimationFrame(handle);
    before = performance.now();
    if (on && run) {
      if (t >= run.end && hold <= 0) t = 0;
      handle = requestAnimationFrame(frame);
    } else show();
  }

  function take() {
    run = model.get("message") ? null : readRun(model);
    message.textContent = model.get("message") || (run ? "" : "No run to show yet: run the damper first.");
    message.hidden = !!run;
    shown.hidden = !run;
    canvas.setAttribute("aria-label", model.get("alt"));
    if (run) {
      place = plan(run);
      slider.max = run.end;
      if (t > run.end) [t, hold] = [run.end, REPEAT_PAUSE];
      fit();
    }
    turn(playing);
    show();
  }

  play.addEventListener("click", () => turn(!playing));
  slider.addEventListener("input", () => {
    [t, hold] = [Number(slider.value), 0];
    turn(false);
  });
  const watcher = new IntersectionObserver(([entry]) => {
    seen = entry.isIntersecting;
    // The arrow keys belong to the slider here; JupyterLab would move through the page with them.
    el.parentElement?.setAttribute("data-lm-suppress-shortcuts", "true");
    if (seen && !playing) show();
  });
  watcher.observe(canvas);
  model.on("change:serial change:message", take);
  take();
  return () => {
    cancelAnimationFrame(handle);
    watcher.disconnect();
    model.off("change:serial change:message", take);
  };
}

export default { render };
