// Ways in and out, played: what moves leaves a ghost where its place is, and a line shows the way.
//
// A way as a page writes it (lengths in mm, axes of the table; only `moves` must be there):
//
//   {"label": "lug goes in", "moves": [{"direction": [0, 0, -1], "distance": 150, "words": "150 mm down"}], "ends": "in place",
//    "bodies": ["lug"], "absent": ["cap"], "pull": ["p7"], "open": ["p5"], "close": ["p5"]}
//
// `moves` in the order they are made; `ends` "in place" (a way in) or "away" (a way out); `bodies` that move, by the names they
// have in the model, absent = all parts and welds; `absent` are not there yet; `pull` are pulled out before, their outline stays;
// `open` are clamps that stand open; `close` shut once the way is made.

import { Vector3 } from "../vendor/three.js";
import { GHOST, HIDDEN, SHOWN } from "./model.js";

const MM_PER_S = 160;
const LEAST_S = 0.7, MOST_S = 2.5, STILL_S = 1.2;

/** One way; `points` are the places of what moves, from its place in the fixture. */
class Way {
  constructor({ label = "way", moves, ends = "in place", bodies = null, absent = [], pull = [], open = [], close = [] }) {
    if (!moves?.length) throw new Error("a way needs moves");
    Object.assign(this, { label, moves, bodies: bodies && new Set(bodies) });
    for (const [name, list] of Object.entries({ absent, pull, open, close })) this[name] = new Set(list);
    this.points = [new Vector3()];
    for (const { direction: [x, y, z], distance } of moves) {
      this.points.push(new Vector3(x, z, -y).setLength(distance).add(this.points.at(-1)));
    }
    const home = (ends === "in place" ? this.points.at(-1) : this.points[0]).clone();
    for (const point of this.points) point.sub(home);
  }

  /** What is done in words, after so many moves. */
  said(done) {
    const number = Math.min(this.moves.length, Math.floor(done) + 1);
    const words = this.moves[number - 1].words ?? "";
    return done >= this.moves.length ? `${this.label}: done` : `move ${number} of ${this.moves.length}${words && `: ${words}`}`;
  }

  carries(body) {
    return this.bodies ? this.bodies.has(body.name) : body.kind === "part" || body.kind === "weld";
  }

  /** Where what moves is after so many moves, a part of one counted as a fraction. */
  place(done) {
    const [before, after] = [this.points[Math.floor(done)], this.points[Math.ceil(done)]];
    return before.clone().lerp(after, done - Math.floor(done));
  }
}

/** Plays ways on a stage, one at a time; `changed` is called when it starts, stops, or has come to the end of a move. */
export class Player {
  constructor(changed) {
    Object.assign(this, { stage: null, changed, ways: [], number: -1, done: 0, playing: false });
    this.calm = window.matchMedia("(prefers-reduced-motion: reduce)");
  }

  get way() {
    return this.ways[this.number] ?? null;
  }

  get ended() {
    return this.way !== null && this.done >= this.way.moves.length;
  }

  /** Take ways to choose from; none is chosen. */
  take(ways) {
    this.ways = ways.map((each) => new Way(each));
    this.choose(-1);
  }

  /** Choose a way by its number, -1 for none: all at home. What moves stands where the way begins. */
  choose(number) {
    this.stop();
    Object.assign(this, { number, done: 0 });
    this.dress();
    this.changed();
  }

  play() {
    if (!this.way) this.choose(0);
    else if (this.ended) this.choose(this.number);
    if (!this.way || this.playing) return;
    this.playing = true;
    if (this.calm.matches) this.#still();
    else this.#run(performance.now(), this.done);
    this.changed();
  }

  pause() {
    this.stop();
    this.changed();
  }

  stop() {
    this.playing = false;
    cancelAnimationFrame(this.frame);
    clearTimeout(this.timer);
  }

  /** Go to the end of the move that is under way or comes next; behind the last one, to the next way. */
  step() {
    this.stop();
    if (this.way && !this.ended) this.#reach(Math.floor(this.done) + 1);
    else if (this.number + 1 < this.ways.length) this.choose(this.number + 1);
    this.changed();
  }

  /** Go to the beginning of a move; from there to the one before it. */
  back() {
    this.stop();
    if (this.done > 0) this.#reach(Math.ceil(this.done) - 1);
    else if (this.number > 0) {
      this.choose(this.number - 1);
      this.#reach(this.way.moves.length);
    }
    this.changed();
  }

  #run(began, from) {
    this.frame = requestAnimationFrame((now) => {
      const move = Math.floor(from);
      const needs = 1000 * Math.min(MOST_S, Math.max(LEAST_S, this.way.moves[move].distance / MM_PER_S));
      const reached = Math.min(move + 1, from + Math.max(0, now - began) / needs);
      this.#reach(reached);
      if (reached < move + 1) this.#run(began, from);
      else if (this.ended) this.pause();
      else {
        this.changed();
        this.#run(now, reached);
      }
    });
  }

  /** For those who want no motion: the ends of the moves, each for a while. */
  #still() {
    this.timer = setTimeout(() => {
      this.#reach(Math.floor(this.done) + 1);
      if (this.ended) this.pause();
      else {
        this.changed();
        this.#still();
      }
    }, 1000 * STILL_S);
  }

  #reach(done) {
    const before = this.ended;
    this.done = done;
    if (this.ended !== before) this.dress();
    this.#place();
  }

  #place() {
    if (!this.stage?.model) return;
    this.stage.materials.shift.copy(this.way ? this.way.place(this.done) : new Vector3());
    this.stage.move();
  }

  /** Say of each body whether it moves and whether it is there. */
  dress() {
    const { way } = this;
    const model = this.stage?.model;
    if (!model) return;
    const opens = new Set(model.bodies.filter((body) => body.open).map((body) => body.id));
    for (const body of model.bodies) {
      const clamp = opens.has(body.id) && body.kind === "piece";
      const open = clamp && way !== null && way.open.has(body.id) && !(this.ended && way.close.has(body.id));
      const away = way !== null && way.absent.has(body.name);
      const pulled = way !== null && body.kind === "piece" && way.pull.has(body.id);
      model.mark(body, 2, way !== null && way.carries(body) ? 1 : 0);
      model.mark(body, 3, away || body.open !== open ? HIDDEN : pulled ? GHOST : SHOWN);
    }
    const carried = way && model.boxOf(model.bodies.filter((body) => way.carries(body)));
    const middle = carried?.getCenter(new Vector3());
    this.stage.trace(way ? way.points.map((point) => point.clone().add(middle)) : []);
    if (way) this.stage.reach(way.points.reduce((box, point) => box.union(carried.clone().translate(point)), model.box));
    this.stage.remark();
    this.#place();
  }
}
