// How bodies are drawn: faces in flat tones by their direction, edges as lines of ink, as on paper. Colours are the page's own.

import { Color, LineBasicMaterial, ShaderMaterial, Vector2, Vector3 } from "../vendor/three.js";
import { KINDS } from "./model.js";

const NAMES = [...KINDS, "paper", "ink", "hole", "picked", "ghost"];

const PLACED = `
  in vec4 state;
  uniform vec3 shift;
  vec4 placed(float from, float to) {
    if (state.w < from || state.w > to) return vec4(2.0, 2.0, 2.0, 1.0);  // outside of what is seen
    return projectionMatrix * modelViewMatrix * vec4(position + state.z * shift, 1.0);
  }
`;

const FACES = {
  vertexShader: `
    ${PLACED}
    uniform vec3 colours[${KINDS.length}];
    uniform vec3 picked;
    uniform vec3 paper;
    flat out vec3 tone;
    void main() {
      vec3 plain = colours[int(state.x)];
      vec3 lit = state.y > 0.5 ? mix(paper, picked, 0.4) : plain;
      tone = lit * (0.85 + 0.15 * normal.y + 0.05 * normal.z - 0.05 * normal.x);
      gl_Position = placed(1.0, 1.0);
    }`,
  fragmentShader: `
    flat in vec3 tone;
    out vec4 colour;
    void main() { colour = vec4(tone, 1.0); }`,
};

// Edges of round sides are drawn where one face is seen and the other is not: the outline, from wherever one looks.
// `ghosts` draws those of what moves, and of what is a ghost.
const EDGES = {
  vertexShader: `
    ${PLACED}
    in vec3 one;
    in vec3 other;
    uniform vec3 eye;
    in vec2 beside;
    uniform vec2 dots;
    uniform bool ghosts;
    void main() {
      bool inside = dot(one, eye) * dot(other, eye) > 0.001;  // a side that is seen edge on ends there
      bool left = ghosts && state.w < 1.5 && state.z < 0.5;
      gl_Position = inside || left ? vec4(2.0, 2.0, 2.0, 1.0) : placed(1.0, ghosts ? 2.0 : 1.0);
      gl_Position.xy += beside * dots;
    }`,
  fragmentShader: `
    uniform vec3 ink;
    out vec4 colour;
    void main() { colour = vec4(ink, 1.0); }`,
};

// The holes of a table: round each whole place of its sheet.
const HOLES = {
  vertexShader: `
    in vec2 place;
    out vec2 at;
    void main() {
      at = place;
      gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
    }`,
  fragmentShader: `
    in vec2 at;
    uniform vec3 slab;
    uniform vec3 hole;
    uniform float radius;
    out vec4 colour;
    void main() {
      vec2 away = fract(at + 0.5) - 0.5;
      colour = vec4(dot(away, away) < radius * radius ? hole : slab, 1.0);
    }`,
};

/** The materials of a view, and the uniforms that change. */
export class Materials {
  constructor() {
    const shift = { value: new Vector3() };
    const eye = { value: new Vector3(0, 1, 0) };
    const still = { value: new Vector3() };
    this.colours = Object.fromEntries(NAMES.map((name) => [name, new Color()]));
    const own = (name) => ({ value: this.colours[name] });
    const kinds = { value: KINDS.map((name) => this.colours[name]) };
    const made = (program, uniforms, more) => new ShaderMaterial({ ...program, uniforms, glslVersion: "300 es", ...more });
    this.faces = made(FACES, { shift, colours: kinds, picked: own("picked"), paper: own("paper") }, {
      polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
    });
    const lines = (ink, of, dots, more = {}) =>
      made(EDGES, { shift: of, eye, ink: own(ink), dots, ghosts: { value: false } }, more);
    const [fine, bold] = [{ value: new Vector2() }, { value: new Vector2() }];
    this.edges = lines("ink", shift, fine);
    this.ghosts = lines("ghost", still, fine);
    this.ghosts.uniforms.ghosts.value = true;
    this.marks = lines("picked", shift, bold, { depthTest: false });
    this.holes = made(HOLES, { slab: own("table"), hole: own("hole"), radius: { value: 0 } }, { depthWrite: false });
    this.crosses = new LineBasicMaterial();
    Object.assign(this, { shift: shift.value, eye: eye.value, fine: fine.value, bold: bold.value });
  }

  /** Take the colours that the page has for an element, `--space-part` and so on. */
  follow(element) {
    for (const name of NAMES) this.colours[name].setRGB(...rgb(element, `--space-${name}`));
    this.crosses.color.copy(this.colours.ink);
  }

  /** Take the canvas's size, CSS px, and how many dots are drawn to one. */
  fit(size, ratio) {
    this.fine.set(2 / (ratio * size.x), 2 / (ratio * size.y));
    this.bold.set(2 / size.x, 2 / size.y);
  }

  dispose() {
    for (const each of Object.values(this)) each.isMaterial && each.dispose();
  }
}

let pixel = null;

/** A colour of the page, however it is written there, as red, green, blue from 0 to 1. */
function rgb(element, name) {
  pixel ??= Object.assign(document.createElement("canvas"), { width: 1, height: 1 }).getContext("2d", { willReadFrequently: true });
  const before = element.style.color;
  element.style.color = `var(${name})`;
  pixel.fillStyle = getComputedStyle(element).color;
  element.style.color = before;
  pixel.fillRect(0, 0, 1, 1);
  return [...pixel.getImageData(0, 0, 1, 1).data.slice(0, 3)].map((value) => value / 255);
}
