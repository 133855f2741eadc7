// A job while it is planned: every event, and every second tick of the clock, has the page ask how far it is.

const SOONEST_MS = 700, TICK_MS = 2000, SPOKEN_MS = 10000;
const live = document.getElementById("progress");
const drawing = document.getElementById("drawing");
const told = document.getElementById("told");
let asked = 0, waiting = 0, spoken = 0, drawn = 0;

function ask() {
  const wait = asked + SOONEST_MS - performance.now();
  if (wait > 0) {
    waiting ||= setTimeout(ask, wait);
    return;
  }
  clearTimeout(waiting);
  waiting = 0;
  asked = performance.now();
  window.htmx.trigger(live, "told");
}

function lookAtDrawing() {
  const best = document.getElementById("standing")?.dataset.best;
  const shown = drawing.querySelector("[data-cents]")?.dataset.cents;
  if (best && best !== shown && performance.now() > drawn + SOONEST_MS) {
    drawn = performance.now();
    window.htmx.trigger(drawing, "better");
  }
}

function speak() {
  const said = document.getElementById("standing")?.textContent ?? "";
  if (said !== told.textContent && performance.now() > spoken + SPOKEN_MS) {
    spoken = performance.now();
    told.textContent = said;
  }
}

const state = document.getElementById("standing").dataset.state;
live.addEventListener("htmx:afterSettle", () => {
  const now = document.getElementById("standing")?.dataset.state;
  if (now && now !== state) location.reload();  // its turn has come, or another server gave it back: what can be done is another
  lookAtDrawing();
  speak();
});
setInterval(ask, TICK_MS);
const events = new EventSource(`/v1/plans/${live.dataset.job}/events`);
events.addEventListener("progress", ask);
events.addEventListener("end", () => {
  events.close();
  ask();
});
