"""A weldment laid out: parts placed by a lie, what touches what, the order in which they go in, its torch samples.

Outer bodies: a part of section ``body`` is the convex outer body around something that is no profile. It takes up room and has
no face. It lies where the parts take it and no lower than the table's top, at any place: over the table or past its edge.

Hardware, clamps shut and open, keeps clear.body from it, torch and hand do not strike it, and no piece it lies over is pulled.
It has a way in, after all parts, and goes out with the weldment, way.clear from all hardware. It is a hull, so it is never held
against parts: it may stand in them and in other hulls, bears none, and is in no part's way in. Nothing locates, clamps or holds
it, a hand does. Its weight, that of the whole hull, counts for what the table bears and for what is lifted; holding and tipping
leave it out. Welds that join it are made elsewhere: nothing keeps clear of them, and they pull at no part.
Source: clearance to an envelope is clearance to what is in it; the rest is how this problem is defined.

Example:

```text
        __________
       /          \\        a casting by its outer body: the stop that would stand at the tube's side there stands elsewhere
   ___/____________\\____
  |        tube         |  the casting is set by hand once the tube is in, and held until the weldment is taken out
```
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from inventory.shapes import Array, Prism, as_matrix
from solver.geometry.cut_faces import part_faces
from solver.geometry.hulls import Hulls
from solver.geometry.joints import Sample, samples_of
from solver.geometry.solids import pieces_of
from solver.laying.closed_rings import closed_rings, with_tips
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.laying.load_order import load_order
from solver.laying.mass import centre_of_gravity, gyration_mm, mass_kg
from solver.laying.touches import part_touches, table_touches
from solver.rule_book.book import RuleBook
from solver.weldment import Part, Weld, Weldment


def lay_part(index: int, part: Part, rotation: Array, shift: Array, density: float) -> LaidPart:
    """Return a part placed by a rotation about the weldment's origin and a shift."""
    move = np.eye(4)
    move[:3, :3], move[:3, 3] = rotation, shift
    frame = move @ part.pose.frame()
    section = part.section
    prism = part.placed(frame)
    exact = pieces_of(prism)
    around = Prism(section.hull_outline, 0.0, part.length, (), as_matrix(frame), part.cuts)
    filled = pieces_of(around) if section.hollow else exact
    filled_hulls = Hulls.of(filled, [index] * len(filled))
    return LaidPart(
        index, part, frame, prism, filled_hulls, Hulls.of(exact, [index] * len(exact)) if section.hollow else filled_hulls,
        tuple(part_faces(index, part, frame)), mass_kg(part, density), centre_of_gravity(part, frame), gyration_mm(part),
    )  # fmt: skip


def lay_out(weldment: Weldment, rules: RuleBook, rotation: Array, lift: float, drawn: Sequence[Sample]) -> LaidWeldment:
    """Return the weldment turned by `rotation`, the lowest point of its parts `lift` mm above the table's top.

    `drawn` are its torch samples in the weldment's frame. Its outer bodies come along wherever the parts take them.
    """
    density = {part.material: rules[f"material.{part.material}_kg_per_m3"] for part in weldment.parts}
    bodies, weldment = weldment.bodies, weldment.without_bodies()
    parts = [lay_part(k, part, rotation, np.zeros(3), density[part.material]) for k, part in enumerate(weldment.parts)]
    bottom = min(float(part.hulls.points[:, 2].min()) for part in parts)
    shift = np.array([0.0, 0.0, lift - bottom])
    parts = [lay_part(k, part, rotation, shift, density[part.material]) for k, part in enumerate(weldment.parts)]
    hulls = [lay_part(len(parts) + k, body, rotation, shift, density[body.material]) for k, body in enumerate(bodies)]
    touches = [*table_touches(parts), *part_touches(parts)]
    samples = tuple(sample.moved(rotation, shift) for sample in drawn)
    paths = tuple(np.array(weld.path) @ rotation.T + shift for weld in weldment.welds)
    rings = closed_rings(parts, touches)
    going_in = load_order(parts, touches, rules, rings)
    return LaidWeldment(
        weldment,
        rules,
        rotation,
        lift - bottom,
        with_tips(parts, rings),
        tuple(touches),
        samples,
        paths,
        going_in.order or None,
        going_in.locked,
        rings=rings,
        bodies=tuple(hulls),
    )


def drawn_samples(weldment: Weldment, rules: RuleBook) -> tuple[list[Sample], dict[str, list[Array]]]:
    """Return all torch samples in the weldment's frame, and per weld id the points where no wedge is open.

    Welds that join an outer body have none; the others are numbered without them.
    """
    weldment = weldment.without_bodies()
    samples: list[Sample] = []
    shut: dict[str, list[Array]] = {}
    for index, weld in enumerate(weldment.welds):
        found, closed = _samples_of(weldment, index, weld, rules)
        samples += found
        if closed:
            shut[weld.id] = closed
    return samples, shut


def drawn_bead(weldment: Weldment, index: int, rules: RuleBook) -> list[Sample]:
    """Return samples all along a weld in the weldment's frame, wherever it is welded; none where no wedge is open."""
    return _samples_of(weldment, index, replace(weldment.welds[index], in_fixture="full"), rules)[0]


def _samples_of(weldment: Weldment, index: int, weld: Weld, rules: RuleBook) -> tuple[list[Sample], list[Array]]:
    one, other = (next(part for part in weldment.parts if part.id == id) for id in weld.parts)
    return samples_of(index, weld, ((one.drawn,), (other.drawn,)), rules)
