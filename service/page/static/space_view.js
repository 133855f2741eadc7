// <space-view src="/v1/plans/ID/alternatives/1/sheet?format=glb" label="Fixture in space">words for those who do not see it</space-view>
//
// Shows a plan's model (a GLB file of this server) in space. What stands inside the element says the same in words: it is out of
// sight while the view is there, and in its place when it cannot be. Needs space_view.css.
//
// Attributes
//   src      the model; a new one is fetched at once, seen from where the last one was
//   label    what it shows, for those who do not see it
//   picked   what is marked: "part:lug", "piece:p3", "weld:w1", "hole:C7"
//   state    set by the element: "waiting" (not in sight yet), "loading", "ready" or "failed"
//
// Ways in and out come from a data block inside of it, which no browser runs as a script: <script type="application/json">[...]
// </script>, a list of ways as space/ways.js has them. They are played by buttons, or by choose(number), play(moves, more), pause(),
// step() and back().
//
// Events, which bubble: "pick" when something is clicked, with detail {kind, id, name, station, at, normal}; kind is "part", "piece",
// "weld", "hole" or "table", name the body's in the model, at and normal are in mm and axes of the table. Unless it is prevented, what
// was picked is marked. "ready" and "failed" when the model is there or cannot be.
//
// Keys: arrows turn, with Shift they shift; + and - zoom; Home shows all again.

import { Model } from "./space/model.js";
import { Player } from "./space/ways.js";
import { Stage } from "./space/stage.js";
import { controls, wayControls } from "./space/controls.js";

const DRAG_PX = 4;
const KEYS = {
  ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1],
};

class SpaceView extends HTMLElement {
  static observedAttributes = ["src", "label", "picked"];

  #marked = [];

  connectedCallback() {
    this.setAttribute("role", "group");
    this.#name();
    this.#build();
    this.state = "waiting";
    this.sight = new IntersectionObserver((entries) => {
      if (entries.some((entry) => entry.isIntersecting)) this.#start();
    }, { rootMargin: "200px" });
    this.sight.observe(this);
  }

  disconnectedCallback() {
    this.sight.disconnect();
    this.loading?.abort();
    this.#end();
  }

  attributeChangedCallback(name, before, now) {
    if (before === now || !this.isConnected) return;
    if (name === "label") this.#name();
    if (name === "picked") this.#mark();
    if (name === "src" && this.stage) this.#load();
  }

  get state() {
    return this.getAttribute("state");
  }

  set state(state) {
    this.setAttribute("state", state);
    if (state === "ready" || state === "failed") this.dispatchEvent(new CustomEvent(state, { bubbles: true }));
  }

  /** How many frames were drawn since the view is there. */
  get frames() {
    return this.stage?.frames ?? 0;
  }

  choose(number) {
    this.player.choose(number);
  }

  /** Play a way along moves [{direction, distance}], with more of a way's fields if need be; without moves, the one chosen. */
  play(moves, more = {}) {
    if (moves) {
      this.player.take([{ ...more, moves }]);
      this.player.choose(0);
    }
    this.player.play();
  }

  pause() {
    this.player.pause();
  }

  step() {
    this.player.step();
  }

  back() {
    this.player.back();
  }

  look(name) {
    this.stage?.look(name);
  }

  zoom(by) {
    this.stage?.zoom(by);
  }

  #name() {
    this.setAttribute("aria-label", this.getAttribute("label") ?? "View in space");
  }

  /** All that will be there, at its size, so that nothing jumps when the model comes. */
  #build() {
    this.frame = document.createElement("div");
    this.frame.className = "space-view-frame";
    this.canvas = document.createElement("canvas");
    this.canvas.tabIndex = 0;
    this.canvas.setAttribute("role", "application");
    this.canvas.setAttribute("aria-roledescription", "view in space");
    this.canvas.setAttribute("aria-label", "Arrow keys turn, with Shift they shift, plus and minus zoom, Home shows all");
    this.said = document.createElement("p");
    this.said.className = "space-view-said";
    this.said.setAttribute("role", "status");
    this.player = new Player(() => this.ways?.refresh());
    this.player.take(this.#told());
    this.ways = wayControls(this.player);
    this.frame.append(this.canvas, this.said, controls(this), this.ways.element);
    this.prepend(this.frame);
  }

  #start() {
    this.sight.disconnect();
    try {
      this.stage = this.player.stage = new Stage(this.canvas);
    } catch (error) {
      this.#fail(`This browser cannot show the view in space: ${error.message}.`);
      return;
    }
    this.#listen();
    this.#load();
  }

  #listen() {
    const { canvas, stage } = this;
    this.sized = new ResizeObserver(() => stage.resize(canvas.clientWidth, canvas.clientHeight));
    this.sized.observe(canvas);
    canvas.addEventListener("keydown", (event) => this.#key(event));
    canvas.addEventListener("pointerdown", (event) => {
      canvas.focus({ preventScroll: true });
      this.pressed = [event.clientX, event.clientY];
    });
    canvas.addEventListener("click", (event) => {
      const [x, y] = this.pressed ?? [event.clientX, event.clientY];
      if (Math.hypot(event.clientX - x, event.clientY - y) <= DRAG_PX) this.#pick(event);
    });
    canvas.addEventListener("webglcontextlost", (event) => {
      event.preventDefault();
      this.said.textContent = "The browser has taken the view's memory away; it comes back when there is some.";
    });
    canvas.addEventListener("webglcontextrestored", () => {
      this.said.textContent = "";
      stage.ask();
    });
    this.recolour = () => {
      stage.materials.follow(this);
      stage.ask();
    };
    this.dark = window.matchMedia("(prefers-color-scheme: dark)");
    this.dark.addEventListener("change", this.recolour);
    this.themed = new MutationObserver(this.recolour);
    this.themed.observe(document.documentElement, { attributes: true, attributeFilter: ["class", "data-theme"] });
    stage.materials.follow(this);
  }

  async #load() {
    this.loading?.abort();
    const loading = (this.loading = new AbortController());
    this.state = "loading";
    this.said.textContent = "The view in space is being fetched.";
    try {
      const model = await Model.read(await fetched(this.getAttribute("src"), loading.signal));
      if (loading.signal.aborted) return;
      this.#marked = [];
      this.stage.show(model);
      this.player.dress();
      this.#mark();
      this.said.textContent = "";
      this.state = "ready";
    } catch (error) {
      if (!loading.signal.aborted) this.#fail(`The view in space cannot be shown: ${error.message}.`);
    }
  }

  #told() {
    const block = this.querySelector('script[type="application/json"]');
    return block ? JSON.parse(block.textContent) : [];
  }

  #fail(words) {
    this.said.textContent = words;
    this.state = "failed";
  }

  #key(event) {
    const { stage } = this;
    if (event.ctrlKey || event.metaKey || event.altKey || !stage) return;
    const [right, up] = KEYS[event.key] ?? [];
    if (right !== undefined && event.shiftKey) stage.pan(0.1 * right, 0.1 * up);
    else if (right !== undefined) stage.turn(right, up);
    else if (event.key === "+" || event.key === "=") stage.zoom(1.25);
    else if (event.key === "-") stage.zoom(0.8);
    else if (event.key === "Home") stage.look("home");
    else return;
    event.preventDefault();
  }

  #pick(event) {
    const met = this.stage.at(event.offsetX, event.offsetY);
    if (!met) return;
    const { body: { name, facts: { station = null } } } = met;
    const [at, normal] = [met.at, met.normal].map(({ x, y, z }) => [x, -z, y]);
    const hole = met.body.kind === "table" && normal[2] > 0.5 ? this.stage.model.lattice?.near(at[0], at[1]) : null;
    const { kind, id } = hole ? { kind: "hole", id: hole } : met.body;
    const pick = new CustomEvent("pick", { bubbles: true, cancelable: true, detail: { kind, id, name, station, at, normal } });
    if (this.dispatchEvent(pick)) this.setAttribute("picked", `${kind}:${id}`);
  }

  #mark() {
    const model = this.stage?.model;
    if (!model) return;
    const picked = this.getAttribute("picked") ?? "";
    const hole = picked.startsWith("hole:") ? picked.slice(5) : null;
    for (const body of this.#marked) model.mark(body, 1, 0);
    this.#marked = model.bodies.filter((body) => body.kind !== "table" && body.ref === picked);
    for (const body of this.#marked) model.mark(body, 1, 1);
    this.stage.mark(this.#marked, hole);
    this.said.textContent = this.#marked.length ? words(this.#marked[0]) : hole ? `hole ${hole}` : "";
  }

  #end() {
    this.player.stop();
    this.sized?.disconnect();
    this.themed?.disconnect();
    this.dark?.removeEventListener("change", this.recolour);
    this.stage?.dispose();
    this.frame.remove();
    this.#marked = [];
    this.stage = null;
  }
}

/** Return a file's bytes; raises an Error that says in words why they cannot be had. */
async function fetched(address, signal) {
  let answer;
  try {
    answer = await fetch(address, { signal, credentials: "same-origin" });
  } catch (error) {
    if (signal.aborted) throw error;
    throw new Error("the server cannot be reached");
  }
  if (answer.ok) return answer.arrayBuffer();
  const problem = await answer.json().catch(() => ({}));
  throw new Error(problem.detail ?? problem.title ?? `the server answers ${answer.status}`);
}

function words({ kind, id, facts }) {
  const item = [facts.item_name, facts.hole && `in ${facts.hole}`, facts.stands_on && `on ${facts.stands_on}`];
  return [`${kind} ${id}`, ...item.filter(Boolean)].join(", ");
}

customElements.define("space-view", SpaceView);
