// The animated section of a damper. It draws a finished run and computes nothing but where to draw.

const WIDTH = 448, HEIGHT = 560; // all lengths in screen pixels
const HEAD = 150, INSIDE = 172, BOTTOM = 518; // body: top of its head, top and bottom of the oil space
const FIRST = 212, PISTON = 84, STROKE = 98; // piston: its top at full extension, its height, its way
const HALF = 78, ROD = 31, WALL = 8, GAP = 5, SEPARATOR = 14; // half widths of body and rod; leak past the piston
const BASE = 484; // underside of the valve in the passage
const NEEDLE = 24, TAPER = 26, SEAT = 46, LIFT = 12; // needle's way, its taper, the seat's edge; way of the discs
const ORANGE = "#E69F00";
const FASTEST = 560; // way of a mark at the largest flow of its place, per second of the run
const SPACING = 16; // between marks
const WAYS = ["rebound_bleed", "rebound_blow_off", "rebound_leak", "compression_bleed", "compression_blow_off",
  "compression_leak", "through_piston", "returning", "rod_oil"];

const fraction = (x) => x - Math.floor(x), scatter = (k) => fraction(Math.sin(k * 12.99) * 43758.55);
const mirrored = (nodes) => nodes.map(([x, y, r]) => [x, PISTON - y, r]);

// The run and what its marks need, or null where there is none yet.
function readRun(model) {
  const found = readSignals(model), g = model.get("geometry");
  if (!found || !g.rebound || !g.compression) return null;
  const { series, zeros, step, between } = found;
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
  return {
    ...found, g, based, highest, fastest: Math.max(0.01, most(speed)),
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
  ctx.clearRect(0, 0, WIDTH, HEIGHT);
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
