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
    { text: "leak", at: [cx - HALF + 2.5, top + 48] },
    { text: "compression side", at: [L + 7, res ? 460 : sep - 12], state: { text: "○ cavitates", shown: foamed[1] } },
  ], []];
  const blow = { text: "compression blow-off", words: g.blow_off_words }, needle = { text: "compression needle", words: g.compression_words };
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
  const nothing = "No run to show yet: run the damper first.";
  return startPlayer({ model, el, name: "cutaway", into: el, nothing, build });

  function build(shown, controls) {
    const canvas = make("canvas", "", shown);
    canvas.setAttribute("role", "img");
    shown.append(controls);
    const list = make("div", "cutaway-readings", shown);
    const names = ["time", "shaft speed", "damper force", "compression side", "rebound side", "gas"];
    const values = names.map((name) => {
      const pair = make("div", "", list);
      make("div", "cutaway-name", pair, name);
      return make("div", "cutaway-value", pair);
    });
    const ctx = canvas.getContext("2d"), still = document.createElement("canvas");
    let run = null, place, metal = null;
    return {
      watched: canvas,
      take() {
        run = readRun(model);
        canvas.setAttribute("aria-label", model.get("alt"));
        if (run) place = plan(run);
        if (run && metal) drawStill(still.getContext("2d"), run, place, metal.dark);
        return run;
      },
      fit(scale) {
        for (const sheet of [canvas, still]) Object.assign(sheet, { width: WIDTH * scale, height: HEIGHT * scale });
        ctx.scale(scale, scale);
        const dark = [true, false].map((up) => hatch(ctx, scale, "#c9c9c9", up));
        metal = { rising: hatch(ctx, scale, "#e3e3e3", true), light: hatch(ctx, scale, "#ececec", false), dark };
        still.getContext("2d").scale(scale, scale);
        drawStill(still.getContext("2d"), run, place, metal.dark);
      },
      draw(t) {
        drawScene(ctx, run, place, still, metal, t);
      },
      read(t) {
        const speed = run.at("speed", t), force = Math.round(run.at("force", t));
        [
          `${t.toFixed(2)} s`,
          `${Math.abs(speed).toFixed(2)} m/s ${direction(speed)}`,
          `${force < 0 ? "−" : ""}${Math.abs(force)} N`,
          ...["compression", "rebound", "gas"].map((name) => `${bar(run.at(`${name}_pressure`, t))} absolute`),
        ].forEach((text, i) => (values[i].textContent = text));
      },
    };
  }
}

export default { render };
