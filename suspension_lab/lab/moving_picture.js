const STEP = 0.02, LEAP = 0.2; // of the arrow keys, and of the page keys [s]
const HAND_MS = 900; // after a control has moved its new run is on its way so long, at the most
const APART = 12, NARROW = 300; // between scenes; a scene is never narrower than this

const signed = (metres) => `${metres < -5e-5 ? "−" : metres > 5e-5 ? "+" : ""}${Math.abs(1e3 * metres).toFixed(1)} mm`;

function render({ model, el }) {
  const fold = make("details", "moving-fold", el);
  fold.open = true;
  make("summary", "", fold, "The station in motion");
  const nothing = "No run to show in motion yet: move a control.";
  return startPlayer({ model, el, name: "moving", into: fold, nothing, build });

  function build(shown, controls, transport) {
    const scenes = make("div", "moving-scenes", shown);
    scenes.tabIndex = 0;
    scenes.setAttribute("role", "group");
    scenes.setAttribute("aria-label", "The station in motion. Space plays and pauses, the arrow keys step.");
    const told = make("div", "moving-told", shown);
    told.setAttribute("role", "status");
    shown.append(controls);
    const clock = make("output", "moving-time"), label = make("label", "", controls, "Heights: ");
    clock.setAttribute("aria-live", "off");
    controls.insertBefore(clock, controls.lastChild);
    const chosen = make("select", "", label), foot = make("div", "moving-note", shown);
    const late = make("strong", "", foot), note = make("span", "", foot);
    const pair = ["This run", "Kept run"].map((heading, i) => {
      const scene = make("div", "moving-scene", scenes);
      scene.dataset.run = i ? "kept" : "this";
      const made = { scene, heading, title: make("div", "moving-heading", scene), canvas: make("canvas", "", scene) };
      made.canvas.setAttribute("role", "img");
      made.reading = make("div", "moving-reading", scene);
      return { ...made, ctx: made.canvas.getContext("2d"), run: null, wide: 0, lines: null };
    });
    let runs = [], heights = 1, plan = null, touched = false, usual = 0;

    function offer(magnified, first) {
      if (usual !== magnified) {
        chosen.replaceChildren();
        for (const [text, times] of [["true size", 1], [`${magnified} times`, magnified]]) {
          make("option", "", chosen, text).value = times;
        }
        usual = magnified;
      }
      if (!touched) chosen.value = first;
      heights = Number(chosen.value);
    }
    function settle() {
      if (!runs.length) return;
      plan = layOut(runs.map((each) => each.run), heights);
      const rides = runs.some((each) => each.run.g.speed > 0);
      const road = rides && heights > 1 ? " and the road as the wheel feels it" : "";
      note.textContent = `Wheel${rides ? ", road" : ""} and heights are drawn to one scale` +
        `${heights > 1 ? `, heights ${heights} times${road}` : ""}; spring, damper and body are signs.`;
    }
    function widths() {
      const room = Math.floor(scenes.clientWidth);
      if (!room) return;
      const beside = runs.length > 1 && room >= 2 * NARROW + APART;
      for (const each of runs) each.wide = beside ? Math.floor((room - APART) / 2) : room;
    }
    function say() {
      if (transport.playing || !transport.run) return;
      told.textContent = [clock.textContent, ...runs.map((each) => `${each.heading}: ${each.reading.textContent}`)].join(". ");
    }
    function fit(scale) {
      widths();
      for (const each of runs) {
        Object.assign(each.canvas, { width: each.wide * scale, height: TALL * scale });
        Object.assign(each.canvas.style, { width: `${each.wide}px`, height: `${TALL}px` });
        each.scene.style.width = `${each.wide}px`;
        each.ctx.scale(scale, scale);
        each.lines = hatch(each.ctx, scale, "#fff", true);
      }
    }
    scenes.addEventListener("keydown", (event) => {
      const run = transport.run, does = {
        " ": transport.toggle,
        ArrowLeft: () => transport.step(-STEP), ArrowDown: () => transport.step(-STEP),
        ArrowRight: () => transport.step(STEP), ArrowUp: () => transport.step(STEP),
        PageDown: () => transport.step(-LEAP), PageUp: () => transport.step(LEAP),
        Home: () => transport.goTo(run.start), End: () => transport.goTo(run.end),
      }[event.key];
      if (!does || !run || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      event.stopPropagation();
      does();
      say();
    });
    chosen.addEventListener("change", () => {
      [touched, heights] = [true, Number(chosen.value)];
      settle();
      transport.redraw();
    });
    // A control has moved: the new run is handed over once the hand rests, and a moving hand has the machine to itself.
    let moved = -Infinity;
    function catchUp(behind) {
      moved = behind ? performance.now() : -Infinity;
      if (scenes.dataset.behind === String(behind)) return;
      // Its room stays, or the diagrams below would jump.
      foot.style.minHeight = behind ? `${foot.offsetHeight}px` : "";
      scenes.dataset.behind = note.hidden = behind;
      late.textContent = behind ? "Still the run before: the new one follows when the control rests." : "";
    }
    const awaits = () => model.get("awaited") > 0 && catchUp(true);
    model.on("change:awaited", awaits);
    const room = new ResizeObserver(transport.redraw);
    room.observe(scenes);
    return {
      watched: scenes,
      close() {
        room.disconnect();
        model.off("change:awaited", awaits);
      },
      take() {
        pair.forEach((each, i) => {
          each.run = readScene(model, i ? "kept_signals" : "signals", i ? "kept_geometry" : "geometry");
          each.scene.hidden = !each.run;
          each.title.textContent = each.run ? `${each.heading}: ${each.run.g.setting}` : "";
          each.canvas.setAttribute("aria-label", model.get(i ? "kept_alt" : "alt"));
        });
        if (!pair[0].run) return null;
        const before = runs.length;
        runs = pair.filter((each) => each.run);
        if (runs.length !== before) transport.refit();
        const { magnified, first_heights } = pair[0].run.g;
        offer(magnified, first_heights);
        settle();
        const times = (name) => runs.map((each) => each.run[name]);
        catchUp(false);
        return { start: Math.min(...times("start")), end: Math.max(...times("end")), restarts: true };
      },
      fit,
      rests: (now) => now - moved < HAND_MS,
      draw(t) {
        el.dataset.time = t.toFixed(4);
        for (const each of runs) {
          if (!each.wide) continue;
          const drawn = drawStation(each.ctx, each.run, plan, t, each.wide, model.get("looks"), each.lines);
          const seen = { axle: drawn.axle.toFixed(2), body: drawn.body.toFixed(2), bar: drawn.bar.toFixed(1),
            scale: plan.scale.toFixed(3), offRoad: drawn.off, hand: Boolean(drawn.hand) };
          for (const [name, value] of Object.entries(seen)) {
            if (each.scene.dataset[name] !== String(value)) each.scene.dataset[name] = value;
          }
        }
      },
      read(t) {
        clock.textContent = `${t < 0 ? "−" : ""}${Math.abs(t).toFixed(2)} s`;
        for (const each of runs) {
          const at = (name) => each.run.at(name, t), over = t > each.run.end + 1e-6 ? " (this run has ended)" : "";
          const load = at("off_road") > 0.5 ? "off the road" : `tyre load ${Math.round(100 * at("tyre_load"))} %`;
          each.reading.textContent = `body ${signed(at("body"))}, wheel ${signed(at("wheel"))}, ${load}${over}`;
        }
      },
    };
  }
}

export default { render };
