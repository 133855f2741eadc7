// A model on a canvas, seen without perspective as on a drawing; drawn when something changed and not otherwise.

import {
  Box3, ColorManagement, LinearSRGBColorSpace, LineSegments, Mesh, OrbitControls, OrthographicCamera, Raycaster, Scene, Vector2,
  Vector3, WebGLRenderer,
} from "../vendor/three.js";
import { Materials } from "./materials.js";
import { strokes } from "./model.js";

ColorManagement.enabled = false; // the page's colours are drawn as they are

/** Where one looks from: right, up and towards the front of the table. */
export const VIEWS = {
  home: [0.55, 0.75, 1],
  above: [0, 1, 0],
  front: [0, 0, 1],
  side: [1, 0, 0],
};
const RATIOS = [2, 1, 0.75, 0.5];
const SLOW_MS = 30; // between frames: while the view moves it is drawn coarser, until they come faster
const PROMPT_MS = 20;
const REST_MS = 180; // after the last move: it is drawn as fine as can be
const TURN = Math.PI / 12;
const MARGIN = 1.15;

export class Stage {
  /** Raises an Error if there is no WebGL. */
  constructor(canvas) {
    this.canvas = canvas;
    const context = canvas.getContext("webgl2", { alpha: false, antialias: false, powerPreference: "low-power" });
    if (!context) throw new Error("WebGL is missing or switched off");
    this.renderer = new WebGLRenderer({ canvas, context });
    this.renderer.outputColorSpace = LinearSRGBColorSpace;
    this.materials = new Materials();
    this.scene = new Scene();
    this.camera = new OrthographicCamera(-1, 1, 1, -1, -1e5, 1e5);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.zoomToCursor = true;
    this.controls.enableZoom = false; // the wheel is the page's until the view has the focus
    this.controls.addEventListener("change", () => this.move());
    canvas.addEventListener("focus", () => { this.controls.enableZoom = true; });
    canvas.addEventListener("blur", () => { this.controls.enableZoom = false; });
    this.size = new Vector2();
    this.model = null;
    const finest = RATIOS.findIndex((each) => each <= window.devicePixelRatio);
    Object.assign(this, { asked: 0, frames: 0, moving: false, ratio: 0 });
    Object.assign(this, { last: 0, late: 0, prompt: 0, patience: 60, finest, coarse: finest });
    [this.path, this.picks] = [1, 2].map(() => new LineSegments(strokes([]), this.materials.marks));
    this.path.renderOrder = this.picks.renderOrder = 1; // over all that is there
    this.marked = [[], null];
    this.#look(VIEWS.home);
  }

  /** Show another model; where one looks from stays as it was. */
  show(model) {
    const first = this.model === null;
    this.#empty();
    this.model = model;
    const { faces, edges, ghosts, holes, crosses } = this.materials;
    this.ghosts = new LineSegments(model.edges, ghosts);
    this.scene.add(new Mesh(model.faces, faces), new LineSegments(model.edges, edges), this.ghosts, this.picks, this.path);
    const { lattice } = model;
    if (lattice) this.scene.add(new Mesh(lattice.sheet(model.slab), holes), new LineSegments(lattice.crosses(), crosses));
    holes.uniforms.radius.value = lattice ? lattice.diameter / 2 / lattice.pitch : 0;
    for (const each of this.scene.children) each.frustumCulled = false;
    this.ratio = 0;
    this.mark([]);
    this.trace([]);
    if (first) this.look("home");
    else if (this.#fitted()) this.fit();
  }

  /** Look from one of the named sides, all in sight. */
  look(name) {
    this.#look(VIEWS[name]);
    this.fit();
  }

  #look(direction) {
    const { target } = this.controls;
    // Straight from above it is a hair from the front, so that the rows of the table run up.
    const [x, y, z] = direction;
    this.camera.position.copy(target).add(new Vector3(x, y, z || 1e-4).normalize().multiplyScalar(1000));
    this.controls.update();
  }

  /** Bring a box into sight from where one looks, of all but the table if none is given. */
  fit(box = this.model?.box) {
    if (!box || !this.size.x) return;
    const middle = box.getCenter(new Vector3());
    this.camera.position.add(middle.clone().sub(this.controls.target));
    this.controls.target.copy(middle);
    this.controls.update();
    this.camera.updateMatrixWorld();
    const extent = this.#seen(box).getSize(new Vector3());
    this.#zoom(Math.min(this.size.x / extent.x, this.size.y / extent.y) / MARGIN);
    this.controls.minZoom = this.camera.zoom / 8;
    this.controls.maxZoom = this.camera.zoom * 40;
    this.fitting = { zoom: this.camera.zoom, target: this.controls.target.clone() };
  }

  /** Whether nobody has zoomed or shifted since all was brought into sight. */
  #fitted() {
    return !this.fitting || (this.fitting.zoom === this.camera.zoom && this.fitting.target.equals(this.controls.target));
  }

  /** Bring a box into sight if it is not. */
  reach(box) {
    const { min, max } = this.#seen(box);
    const [right, up] = [this.size.x, this.size.y].map((size) => size / 2 / this.camera.zoom);
    if (min.x < -right || max.x > right || min.y < -up || max.y > up) this.fit(box);
  }

  /** A box as the camera has it. */
  #seen(box) {
    const seen = new Box3();
    for (let corner = 0; corner < 8; corner += 1) {
      const at = new Vector3(...["x", "y", "z"].map((axis, bit) => ((corner >> bit) & 1 ? box.max[axis] : box.min[axis])));
      seen.expandByPoint(at.applyMatrix4(this.camera.matrixWorldInverse));
    }
    return seen;
  }

  /** Turn by steps to the right and up. */
  turn(right, up) {
    const offset = this.camera.position.clone().sub(this.controls.target);
    const radius = offset.length();
    const around = Math.atan2(offset.x, offset.z) + right * TURN;
    const down = Math.min(Math.PI - 1e-4, Math.max(1e-4, Math.acos(offset.y / radius) - up * TURN));
    offset.set(Math.sin(down) * Math.sin(around), Math.cos(down), Math.sin(down) * Math.cos(around)).multiplyScalar(radius);
    this.camera.position.copy(this.controls.target).add(offset);
    this.controls.update();
  }

  /** Shift what is seen by shares of its size to the right and up. */
  pan(right, up) {
    const { matrix, zoom } = this.camera;
    const shift = new Vector3().setFromMatrixColumn(matrix, 0).multiplyScalar((right * this.size.x) / zoom)
      .add(new Vector3().setFromMatrixColumn(matrix, 1).multiplyScalar((up * this.size.y) / zoom));
    this.camera.position.add(shift);
    this.controls.target.add(shift);
    this.controls.update();
  }

  zoom(by) {
    this.#zoom(Math.min(this.controls.maxZoom, Math.max(this.controls.minZoom, this.camera.zoom * by)));
  }

  #zoom(zoom) {
    this.camera.zoom = zoom;
    this.camera.updateProjectionMatrix();
    this.move();
  }

  /** Take the canvas's size, CSS px; what was in sight stays in sight. */
  resize(width, height) {
    if (!width || !height) return; // it is out of sight for a while
    const before = Math.min(this.size.x, this.size.y);
    const fitted = this.#fitted();
    this.size.set(width, height);
    Object.assign(this.camera, { left: -width / 2, right: width / 2, top: height / 2, bottom: -height / 2 });
    if (before && !fitted) this.#zoom((this.camera.zoom * Math.min(width, height)) / before);
    else this.fit();
    this.ratio = 0;
    this.ask();
  }

  /** Ask for one frame, fine unless the view moves. */
  ask() {
    this.asked ||= requestAnimationFrame((now) => this.#draw(now));
  }

  /** Ask for a frame of a view that moves. */
  move() {
    this.moving = true;
    clearTimeout(this.rest);
    this.rest = setTimeout(() => {
      this.moving = false;
      this.last = 0;
      this.ask();
    }, REST_MS);
    this.ask();
  }

  #draw(now) {
    this.asked = 0;
    if (!this.model || !this.size.x) return;
    if (this.moving) this.#pace(now);
    this.#resolve(RATIOS[this.moving ? this.coarse : 0]);
    this.camera.getWorldDirection(this.materials.eye).negate();
    this.renderer.setClearColor(this.materials.colours.paper);
    this.renderer.render(this.scene, this.camera);
    this.frames += 1;
  }

  /** Draw coarser where frames come late four times in a row, and finer again where many have come in time. */
  #pace(now) {
    const gap = now - (this.last || now);
    this.last = now;
    this.late = gap > SLOW_MS ? this.late + 1 : 0;
    this.prompt = gap < PROMPT_MS ? this.prompt + 1 : 0;
    if (this.late > 3 && this.coarse < RATIOS.length - 1) {
      Object.assign(this, { coarse: this.coarse + 1, late: 0, patience: 2 * this.patience });
    } else if (this.prompt > this.patience && this.coarse > this.finest) {
      Object.assign(this, { coarse: this.coarse - 1, prompt: 0 });
    }
  }

  /** Draw so many dots to a CSS px; where there are two, lines are drawn two dots wide. */
  #resolve(ratio) {
    if (ratio === this.ratio) return;
    this.ratio = ratio;
    this.renderer.setPixelRatio(ratio);
    this.renderer.setSize(this.size.x, this.size.y, false);
    this.model.edges.instanceCount = ratio > 1 ? Infinity : 1;
    this.materials.fit(this.size, ratio);
  }

  /** What stands at a place of the canvas, CSS px from its corner. */
  at(x, y) {
    const caster = new Raycaster();
    const place = new Vector2((2 * x) / this.size.x - 1, 1 - (2 * y) / this.size.y);
    // The camera may stand within the model, which has no near end: the ray begins far behind it.
    caster.setFromCamera(place, this.camera);
    caster.ray.origin.addScaledVector(caster.ray.direction, -1e5);
    return this.model?.met(caster.ray, this.materials.shift) ?? null;
  }

  /** Draw a way as a line through points, or none. */
  trace(points) {
    this.#redraw(this.path, strokes(points.slice(1).flatMap((point, number) => [points[number], point])));
    this.ghosts.visible = points.length > 0;
  }

  /** Show the edges of some bodies through all that is before them, and a ring round a hole. */
  mark(bodies, hole = null) {
    this.marked = [bodies, hole];
    this.remark();
  }

  /** Show what is marked where it is now. */
  remark() {
    this.#redraw(this.picks, this.model.outlines(...this.marked));
    this.ask();
  }

  #redraw(lines, geometry) {
    lines.geometry.dispose();
    lines.geometry = geometry;
    lines.visible = geometry.attributes.position.count > 0;
  }

  #empty() {
    for (const each of this.scene.children) each.geometry.dispose();
    this.scene.clear();
  }

  dispose() {
    cancelAnimationFrame(this.asked);
    clearTimeout(this.rest);
    this.controls.dispose();
    this.#empty();
    this.materials.dispose();
    this.renderer.dispose();
    this.renderer.forceContextLoss();
  }
}
