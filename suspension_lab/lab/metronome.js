// The metronome: beats by the browser's clock, each worked out from the first so that no delay adds up.

const LEAD_IN_MS = 700, AHEAD_MS = 120, LONGEST_LEAD_MS = 250;
const WORDS = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen " +
  "seventeen eighteen nineteen twenty").split(" ");

// A beat's figure and its word; every second beat of a half-second count is an "and".
function beatOf(k, half) {
  if (half && k % 2) return { figure: "and", word: "and", strong: false };
  const whole = half ? k / 2 : k;
  return { figure: String(whole), word: WORDS[whole] ?? String(whole), strong: true };
}

let shownHere = 0;

function render({ model, el }) {
  el.classList.add("metronome");
  const group = `metronome-${++shownHere}`;
  const face = make("div", "metronome-face", el), shape = make("span", "metronome-shape", face);
  const figure = make("span", "metronome-figure", face, "–");
  face.setAttribute("aria-hidden", "true"); // read aloud twice a second it would drown all else
  const controls = make("div", "metronome-controls", el);
  const start = make("button", "", controls, "Start");
  start.type = "button";
  function choice(legend, name, options) {
    const set = make("fieldset", "", controls);
    make("legend", "", set, legend);
    for (const [value, words] of Object.entries(model.get(options))) {
      const label = make("label", "", set), input = make("input", "", label);
      Object.assign(input, { type: "radio", name: `${group}-${name}`, value, checked: model.get(name) === value });
      make("span", "", label, words);
      input.addEventListener("change", () => {
        model.set(name, value);
        model.save_changes();
        if (running) begin();
      });
    }
  }
  choice("Count", "count", "counts");
  choice("Sound", "sound", "sounds");
  const status = make("p", "metronome-said", el);
  status.setAttribute("role", "status");
  make("p", "metronome-note", el, "The count begins at 0: let go at 0, and the figure is the seconds gone by. Figure and click are exact; the voice may come a little after them.");

  let running = false, half = false, sound = "silent", first = 0, next = 0, clicked = 0, timers = new Set(), audio = null, lead = 60, voice = null;

  // Some browsers know their voices only a while after they are first asked.
  const speech = window.speechSynthesis;
  const voices = () => speech?.getVoices() ?? [];
  voices();
  const due = (k) => first + k * (half ? 500 : 1000);

  function at(time, what) {
    const timer = setTimeout(() => {
      timers.delete(timer);
      what();
    }, Math.max(0, time - performance.now()));
    timers.add(timer);
  }
  function click(k) {
    if (!audio) return;
    const when = audio.currentTime + Math.max(0, due(k) - performance.now()) / 1000;
    const tone = audio.createOscillator(), gain = audio.createGain();
    tone.frequency.value = beatOf(k, half).strong ? 1200 : 800;
    gain.gain.setValueAtTime(0.4, when);
    gain.gain.exponentialRampToValueAtTime(0.001, when + 0.05);
    tone.connect(gain).connect(audio.destination);
    tone.start(when);
    tone.stop(when + 0.06);
  }
  function say(k) {
    const spoken = new SpeechSynthesisUtterance(beatOf(k, half).word), asked = performance.now();
    Object.assign(spoken, { lang: "en-GB", rate: half ? 1.8 : 1.3 });
    if (voice) spoken.voice = voice;
    // How long this voice takes to begin is how much earlier the next word is asked for.
    spoken.onstart = () => (lead = Math.min(LONGEST_LEAD_MS, 0.6 * lead + 0.4 * (performance.now() - asked)));
    spoken.onerror = (event) => {
      if (running && !["interrupted", "canceled"].includes(event.error)) noVoice();
    };
    speech.cancel();
    speech.speak(spoken);
  }
  function noVoice() {
    if (sound !== "voice") return;
    sound = "click";
    hear();
    status.textContent = "This browser has no voice that speaks now, so it clicks instead.";
  }
  function hear() {
    const Context = window.AudioContext ?? window.webkitAudioContext;
    if (sound === "click" && Context) audio ??= new Context();
    audio?.resume();
  }
  // Sound is handed over a little ahead of its beat; the clock of sound then keeps it exact.
  function pump() {
    if (!running) return;
    const now = performance.now();
    while (sound === "click" && due(clicked) - now < AHEAD_MS) {
      if (due(clicked) > now - 20) click(clicked);
      clicked++;
    }
    if (sound !== "click") clicked = Math.max(clicked, next);
    at(now + 40, pump);
  }
  function beat() {
    const k = next++, { figure: text, strong } = beatOf(k, half);
    figure.textContent = text;
    face.dataset.beat = strong ? "strong" : "weak";
    face.dataset.turn = String(Math.floor(half ? k / 2 : k) % 2);
    at(due(next), beat);
    speakLater(next);
  }
  function speakLater(k) {
    if (sound === "voice") at(due(k) - lead, () => sound === "voice" && say(k));
  }
  function begin() {
    halt();
    running = true;
    half = model.get("count") === "half";
    sound = model.get("sound");
    start.textContent = "Stop";
    const words = model.get("counts")[model.get("count")];
    status.textContent = `Counts ${words}, ${model.get("sounds")[sound]}.`;
    voice = voices().find((each) => each.lang.startsWith("en")) ?? null;
    if (sound === "voice" && !voice) noVoice();
    hear();
    first = performance.now() + LEAD_IN_MS;
    next = clicked = 0;
    at(due(0), beat);
    speakLater(0);
    pump();
  }
  function halt() {
    running = false;
    for (const timer of timers) clearTimeout(timer);
    timers.clear();
    speech?.cancel();
    figure.textContent = "–";
    delete face.dataset.beat;
    start.textContent = "Start";
  }
  function stop(why) {
    if (!running) return;
    const last = figure.textContent;
    halt();
    status.textContent = why ?? `Stopped${last === "–" ? "" : ` at ${last === "and" ? "an and" : last}`}.`;
  }

  start.addEventListener("click", () => (running ? stop() : begin()));
  ownKeys(el);
  // A page that is not seen gets its time in coarse pieces, and would count wrong.
  const left = () => document.hidden && stop("Stopped, because the page was left.");
  const gone = () => stop();
  document.addEventListener("visibilitychange", left);
  window.addEventListener("pagehide", gone);
  return () => {
    stop();
    audio?.close();
    document.removeEventListener("visibilitychange", left);
    window.removeEventListener("pagehide", gone);
  };
}

export default { render };
