// The holes of a table, from what its node in the model says of it.

import { BufferAttribute, BufferGeometry, Vector3 } from "../vendor/three.js";

const CORNERS = 24;
const ABOVE_MM = 0.05; // what is drawn on the slab lies just above it
const NEAR = 0.4; // of the pitch: a click that far from a hole's middle means the hole

export class Lattice {
  constructor({ first, pitch, columns, rows, hole_diameter: diameter, blocked_holes: blocked }) {
    Object.assign(this, { first, pitch, columns, rows, diameter, blocked: new Set(blocked) });
  }

  /** The label of the hole at a column and row, both from 0, such as C7. */
  label(column, row) {
    let letters = "";
    for (let left = column; left >= 0; left = Math.floor(left / 26) - 1) letters = String.fromCharCode(65 + (left % 26)) + letters;
    return `${letters}${row + 1}`;
  }

  /** The label of the hole that a place on the slab means (mm, x and y of the table), null if none. */
  near(x, y) {
    const [column, row] = [x, y].map((value, axis) => Math.round((value - this.first[axis]) / this.pitch));
    const away = Math.hypot(x - this.first[0] - this.pitch * column, y - this.first[1] - this.pitch * row);
    const there = column >= 0 && row >= 0 && column < this.columns && row < this.rows;
    return there && away <= NEAR * this.pitch ? this.label(column, row) : null;
  }

  /**
   * A sheet over what of the slab has holes, with places counted in holes from the first one: a hole's middle is where both are
   * whole. Thousands of discs would take longer to draw than all the rest.
   */
  sheet(slab) {
    const ends = [
      [Math.max(slab.min.x, this.first[0] - this.pitch / 2), Math.min(slab.max.x, this.first[0] + this.pitch * (this.columns - 0.5))],
      [Math.max(-slab.max.z, this.first[1] - this.pitch / 2), Math.min(-slab.min.z, this.first[1] + this.pitch * (this.rows - 0.5))],
    ];
    const corners = [[0, 0], [1, 0], [1, 1], [0, 1]].map(([right, back]) => [ends[0][right], ends[1][back]]);
    const made = geometry(corners.flatMap(([x, y]) => [x, ABOVE_MM, -y]), [0, 1, 2, 0, 2, 3]);
    const places = corners.flatMap((corner) => corner.map((value, axis) => (value - this.first[axis]) / this.pitch));
    return made.setAttribute("place", new BufferAttribute(new Float32Array(places), 2));
  }

  /** A cross over each blocked hole, as lines. */
  crosses() {
    const places = [];
    const reach = this.diameter / 2;
    for (const { x, y, label } of this.#each()) {
      if (!this.blocked.has(label)) continue;
      for (const way of [1, -1]) places.push(x - reach, ABOVE_MM, -y + way * reach, x + reach, ABOVE_MM, -y - way * reach);
    }
    return geometry(places);
  }

  /** A ring round a hole as the ends of lines; none if there is no such hole. */
  ring(label) {
    const hole = [...this.#each()].find((each) => each.label === label);
    const around = hole ? circle(0.8 * this.diameter).map(([dx, dy]) => new Vector3(hole.x + dx, ABOVE_MM, -(hole.y + dy))) : [];
    return around.flatMap((corner, number) => [corner, around[(number + 1) % CORNERS]]);
  }

  * #each() {
    for (let column = 0; column < this.columns; column += 1) {
      for (let row = 0; row < this.rows; row += 1) {
        yield { x: this.first[0] + this.pitch * column, y: this.first[1] + this.pitch * row, label: this.label(column, row) };
      }
    }
  }
}

function circle(radius) {
  const turn = (2 * Math.PI) / CORNERS;
  return Array.from({ length: CORNERS }, (_, number) => [radius * Math.cos(turn * number), radius * Math.sin(turn * number)]);
}

function geometry(places, index = null) {
  const made = new BufferGeometry();
  made.setAttribute("position", new BufferAttribute(new Float32Array(places), 3));
  if (index) made.setIndex(index);
  return made;
}
