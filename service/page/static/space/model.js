// A model in space, read from a GLB file of the server: bodies with their faces and edges, in mm, x right, y up, z to the front.
//
// All bodies share two buffers, one of faces and one of edges, so that a scene of any size is drawn by a few calls. What differs
// from body to body stands in an attribute of four bytes at each corner: kind, picked, moving, shown.

import {
  Box3, BufferAttribute, BufferGeometry, GLTFLoader, InstancedBufferAttribute, InstancedBufferGeometry, Vector3,
} from "../vendor/three.js";
import { Lattice } from "./lattice.js";

export const KINDS = ["table", "part", "locator", "clamp", "carrier", "weld"];
/** Values of the fourth byte: not drawn; drawn; only its outline as a ghost. */
export const HIDDEN = 0, SHOWN = 1, GHOST = 2;

// Lines are one dot wide: they are drawn so often, each time so far to the right and up, to be wider.
const WIDE = [0, 0, 1, 0, 0, 1];
const BOLD = [-1, -0.5, 0, 0.5, 1].flatMap((right) => [-1, -0.5, 0, 0.5, 1].flatMap((up) => [right, up]));
const MM_PER_M = 1000;
const NONE = new Vector3();
const SHARP = Math.cos((25 * Math.PI) / 180); // what turns less is the side of something round
const FLAT = Math.cos((0.5 * Math.PI) / 180); // what turns less is one face

/** One body: a table, part, piece or weld, and where its corners stand in the shared buffers. */
class Body {
  constructor(facts, faces, edges, box) {
    const { kind, id, name, open = false, ...others } = facts;
    Object.assign(this, { material: kind, id, name, open, facts: others, faces, edges, box });
    this.kind = ["locator", "clamp", "carrier"].includes(kind) ? "piece" : kind;
  }

  /** What it is called by: its kind and id, as in the attribute `picked`. */
  get ref() {
    return `${this.kind}:${this.id}`;
  }
}

/** The bodies of a file and the buffers they share. */
export class Model {
  static async read(bytes) {
    const file = await new GLTFLoader().parseAsync(bytes, "");
    const found = [];
    for (const scene of file.scenes) {
      scene.updateMatrixWorld(true);
      scene.traverse((node) => {
        if (node.isMesh && KINDS.includes(node.userData.kind)) found.push(node);
      });
    }
    if (!found.length) throw new Error("there is no body in it");
    return new Model(found);
  }

  constructor(nodes) {
    const faces = new Corners(["position", "normal"]);
    const edges = new Corners(["position", "one", "other"]);
    this.bodies = nodes.map((node) => {
      const [atFace, atEdge] = [faces.count, edges.count];
      const box = new Box3();
      for (const triangle of triangles(node)) {
        for (const corner of triangle.corners) {
          faces.add(corner, triangle.normal);
          box.expandByPoint(corner);
        }
      }
      addEdges(edges, faces, atFace);
      return new Body(node.userData, [atFace, faces.count], [atEdge, edges.count], box);
    });
    const table = this.bodies.find((body) => body.kind === "table");
    this.slab = table?.box;
    this.lattice = table?.facts.pitch ? new Lattice(table.facts) : null;
    this.faces = faces.geometry();
    this.edges = edges.geometry(WIDE);
    for (const body of this.bodies) {
      this.mark(body, 0, KINDS.indexOf(body.material));
      this.mark(body, 3, body.open ? HIDDEN : SHOWN);
    }
  }

  /** The edges of some bodies as they stand now, and a ring round a hole, to be drawn boldly. */
  outlines(bodies, hole) {
    const found = new Corners(["position", "one", "other"]);
    const { state } = this.edges.attributes;
    const bytes = [];
    for (const { edges: [from, to] } of bodies) {
      for (let corner = from; corner < to; corner += 1) {
        found.add(...found.names.map((name) => new Vector3().fromBufferAttribute(this.edges.attributes[name], corner)));
        bytes.push(...state.array.slice(4 * corner, 4 * corner + 4));
      }
    }
    const outline = found.geometry(BOLD);
    outline.attributes.state.array.set(bytes);
    return hole && this.lattice ? strokes(this.lattice.ring(hole)) : outline;
  }

  /** Set one byte of a body's corners, see above. */
  mark(body, byte, value) {
    for (const [geometry, [from, to]] of [[this.faces, body.faces], [this.edges, body.edges]]) {
      const { array } = geometry.attributes.state;
      for (let at = from; at < to; at += 1) array[4 * at + byte] = value;
      geometry.attributes.state.needsUpdate = true;
    }
  }

  /** The box of what the view is about: all but the table, unless there is nothing else. */
  get box() {
    const shown = this.bodies.filter((body) => !body.open);
    const about = shown.filter((body) => body.kind !== "table");
    return this.boxOf(about.length ? about : shown);
  }

  /** The box of some bodies. */
  boxOf(bodies) {
    return bodies.reduce((box, body) => box.union(body.box), new Box3());
  }

  /** The body a ray meets first, where, and the face's normal; null if it meets none. `shift` is where moving bodies are. */
  met(ray, shift) {
    const { position, normal, state } = this.faces.attributes;
    const [a, b, c, at] = [new Vector3(), new Vector3(), new Vector3(), new Vector3()];
    let found = null;
    for (const body of this.bodies) {
      const first = 4 * body.faces[0];
      if (state.array[first + 3] !== SHOWN) continue;
      const line = ray.clone();
      if (state.array[first + 2]) line.origin.sub(shift);
      if (!line.intersectsBox(body.box)) continue;
      for (let corner = body.faces[0]; corner < body.faces[1]; corner += 3) {
        a.fromBufferAttribute(position, corner);
        b.fromBufferAttribute(position, corner + 1);
        c.fromBufferAttribute(position, corner + 2);
        if (!line.intersectTriangle(a, b, c, true, at)) continue;
        const distance = at.distanceTo(line.origin);
        if (!found || distance < found.distance) {
          found = { body, distance, at: at.clone(), normal: new Vector3().fromBufferAttribute(normal, corner) };
        }
      }
    }
    return found;
  }
}

/** Points with what belongs to each, gathered one after another. */
class Corners {
  constructor(names) {
    this.names = names;
    this.lists = names.map(() => []);
    this.count = 0;
  }

  add(...vectors) {
    vectors.forEach((vector, number) => this.lists[number].push(vector.x, vector.y, vector.z));
    this.count += 1;
  }

  /** With `copies`, pairs of right and up, all is drawn once for each. */
  geometry(copies = null) {
    const made = copies ? new InstancedBufferGeometry() : new BufferGeometry();
    if (copies) made.setAttribute("beside", new InstancedBufferAttribute(new Float32Array(copies), 2));
    this.names.forEach((name, number) => made.setAttribute(name, new BufferAttribute(new Float32Array(this.lists[number]), 3)));
    made.setAttribute("state", new BufferAttribute(new Uint8Array(4 * this.count), 4));
    return made;
  }
}

/** Lines between points, two by two, to be drawn boldly. */
export function strokes(points) {
  const found = new Corners(["position", "one", "other"]);
  for (const point of points) found.add(point, NONE, NONE);
  const made = found.geometry(BOLD);
  for (let corner = 0; corner < points.length; corner += 1) made.attributes.state.array[4 * corner + 3] = SHOWN;
  return made;
}

function* triangles(node) {
  const { index, attributes } = node.geometry;
  const corner = (number) => {
    const at = index ? index.getX(number) : number;
    return new Vector3().fromBufferAttribute(attributes.position, at).applyMatrix4(node.matrixWorld).multiplyScalar(MM_PER_M);
  };
  const count = index ? index.count : attributes.position.count;
  for (let number = 0; number < count; number += 3) {
    const corners = [corner(number), corner(number + 1), corner(number + 2)];
    const [a, b, c] = corners;
    const normal = b.clone().sub(a).cross(c.clone().sub(a));
    if (normal.lengthSq() > 0) yield { corners, normal: normal.normalize() };
  }
}

/** Add the edges of the faces from a corner on: sharp ones with no normals, round ones with those of both faces. */
function addEdges(edges, faces, from) {
  const [places, normals] = faces.lists;
  const sides = new Map();
  const point = (list, corner) => new Vector3(list[3 * corner], list[3 * corner + 1], list[3 * corner + 2]);
  const key = (corner) => [0, 1, 2].map((axis) => Math.round(places[3 * corner + axis] * 1000)).join();
  for (let first = from; first < faces.count; first += 3) {
    const keys = [key(first), key(first + 1), key(first + 2)];
    for (let side = 0; side < 3; side += 1) {
      const [a, b] = [first + side, first + ((side + 1) % 3)];
      const ends = [keys[side], keys[(side + 1) % 3]].sort().join(" ");
      if (!sides.has(ends)) sides.set(ends, { a, b, normals: [] });
      sides.get(ends).normals.push(point(normals, first));
    }
  }
  for (const { a, b, normals: [one, other, ...more] } of sides.values()) {
    const turn = other && !more.length ? one.dot(other) : -1;
    if (turn > FLAT) continue;
    const kept = turn > SHARP ? [one, other] : [NONE, NONE];
    edges.add(point(places, a), ...kept);
    edges.add(point(places, b), ...kept);
  }
}
