// What a page says of itself: that it is being prepared, and that what computes for it has gone.

const EVERY_MS = 10000;
const GONE =
  "This page no longer computes: it was left alone for a long time, or the lab has been closed. " +
  "What you see stays as it is, and answers no more.";

const config = JSON.parse(document.getElementById("jupyter-config-data").textContent);
const waiting = document.getElementById("lesson-waiting");
const gone = document.getElementById("lesson-gone");

// A mark stands in each cell from when the page's scripts have loaded until the cell is worked out.
let begun = false;
const watcher = new MutationObserver(() => {
  const marked = document.querySelector(".voila-skeleton-container") !== null;
  if (begun && !marked) {
    waiting.textContent = "";
    watcher.disconnect();
  }
  begun ||= marked;
});
watcher.observe(document.getElementById("lesson-cells"), { childList: true, subtree: true });

// A page with unwritten answers asks before it is left. A window's listeners run in the order of their coming, and this
// one comes before Voila's, which would end the kernel even of a page that stays.
let asked = false;
window.addEventListener("beforeunload", (event) => {
  asked = document.querySelector("[data-unwritten]") !== null && !gone.childElementCount;
  if (!asked) return;
  event.stopImmediatePropagation();
  event.preventDefault();
  event.returnValue = "unwritten"; // what browsers before 2023 ask for
});

// From then on Voila ends the kernel of a page that is left; of one that is left sooner or after asking, this does.
window.addEventListener("pagehide", () => {
  if (begun && !asked) return;
  const form = new FormData();
  form.append("_xsrf", (document.cookie.match("\\b_xsrf=([^;]*)\\b") || [])[1] || "");
  navigator.sendBeacon(`${config.baseUrl}voila/api/shutdown/${config.kernelId}`, form);
});

function sayGone() {
  waiting.textContent = "";
  const words = document.createElement("p");
  words.textContent = GONE;
  const again = document.createElement("button");
  again.type = "button";
  again.textContent = "Load this page again";
  again.addEventListener("click", () => location.reload());
  gone.append(words, again);
}

async function computes() {
  try {
    const answer = await fetch(`${config.baseUrl}api/kernels/${config.kernelId}`, { cache: "no-store" });
    return answer.ok && (await answer.json()).execution_state !== "dead";
  } catch {
    return false;
  }
}

let missed = 0;
let timer = 0;
async function look() {
  clearTimeout(timer);
  // Missed once may be a hiccup of the network; twice is not.
  missed = (await computes()) ? 0 : missed + 1;
  if (missed < 2) timer = setTimeout(look, missed ? EVERY_MS / 5 : EVERY_MS);
  else if (!gone.childElementCount) sayGone();
}
timer = setTimeout(look, EVERY_MS);
// A page that is shown again, after a closed lid or behind other tabs, says so at once.
document.addEventListener("visibilitychange", () => {
  if (!document.hidden && missed < 2) look();
});
// So does one that the browser kept while another was looked at: its kernel has ended with it.
window.addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload();
});
