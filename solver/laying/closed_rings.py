"""Closed rings: parts each of which meets the next at an upright mitre, the last the first; and the tips by which pads stop them.

In words: mitres alone let all parts of a ring slide at once along themselves. Where the rule book lets them be located together,
a pad at a corner stops the tip of one part, and the ring gives all the others their ends: each meets one that is in before it.
So the part with the tip goes in before those it meets, which any part of a ring can do that lies flat. The ring has one locator
matrix, its errors run through that, no two of its locators face each other, and clamps press every joint.
Formula: 6 unknowns a part; a row n . (q_a(r) - q_b(r)) for each corner r of the patch in which a and b meet.
Source: the rule book's locate.together; a frame is closed by clamping its corners (common practice, no source).

Example:

```text
        +------ back -------+          four tubes, eight side points, all of them pushed up and to the right: the front one
   side |                   |          could still slide to the left, the left one down after it, and so on round
   -->  left            right <-- clamp
        |                   |
   tip  |                   |          a pad flush with the left tube stops the tip of the front one, and with it all of them
   -->  +------ front ------+
```
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from inventory.shapes import Array
from solver.geometry.faces import Face
from solver.geometry.tips import tip_face, upright_edges
from solver.geometry.tolerances import LEVEL, ONE_FACE, PARALLEL
from solver.laying.laid_weldment import ClosedRing, LaidPart, LaidWeldment, Touch


def closed_rings(parts: Sequence[LaidPart], touches: Sequence[Touch]) -> tuple[ClosedRing, ...]:
    """Return the rings of parts that each meet two others at upright mitres."""
    mitres = [touch for touch in touches if _mitre(parts, touch)]
    beside = {part.index: {touch.other for touch in mitres if touch.part == part.index} for part in parts}
    found, left = [], list(beside)
    while left:
        chain = [left[0]]
        for index in chain:
            chain += sorted(beside[index] - set(chain))
        left = [index for index in left if index not in chain]
        if all(len(beside[index]) == 2 for index in chain):
            found.append(ClosedRing(tuple(sorted(chain)), tuple(t for t in mitres if t.part in chain and t.part < t.other)))
    return tuple(found)


def _mitre(parts: Sequence[LaidPart], touch: Touch) -> bool:
    """Return whether two parts touch cut to cut, upright."""
    if touch.on_table or not touch.level:
        return False
    ends = ((parts[touch.part], touch.normal), (parts[touch.other], -touch.normal))
    return all(any(_lies_on(face, touch.patch, into) for face in _cuts(part)) for part, into in ends)


def _cuts(part: LaidPart) -> list[Face]:
    return [face for face in part.faces if face.label.startswith("cut:")]


def _lies_on(face: Face, patch: Array, into: Array) -> bool:
    return float(face.normal @ into) < -1 + PARALLEL and abs(float(face.normal @ (patch[0] - face.origin))) < 2 * ONE_FACE


def leans_on_itself(laid: LaidWeldment, ring: ClosedRing) -> bool:
    """Return whether a part outside a ring, in before one of it that it touches, leans on the ring, by whatever other parts."""
    waiting = sorted(_outside(laid, ring))
    found = set(waiting)
    for part in waiting:
        new = [touch.other for touch in laid.touches_of(part) if not touch.on_table and touch.other not in found]
        waiting += new
        found |= set(new)
    return bool(found & set(ring.parts))


def _outside(laid: LaidWeldment, ring: ClosedRing) -> set[int]:
    """Return the parts outside a ring, in before one of it, that this one touches."""
    touches = [touch for part in ring.parts for touch in laid.touches_of(part)]
    return {touch.other for touch in touches if not touch.on_table and touch.other not in ring.parts}


def with_tips(parts: Sequence[LaidPart], rings: Sequence[ClosedRing]) -> tuple[LaidPart, ...]:
    """Return parts with the tips that pads may meet: of lying parts of closed rings."""
    tips = {index: tuple(_tips(parts, ring, index)) for ring in rings for index in ring.parts}
    return tuple(replace(part, tips=tips.get(part.index, ())) for part in parts)


def _tips(parts: Sequence[LaidPart], ring: ClosedRing, index: int) -> Iterator[Face]:
    part = parts[index]
    axis = part.frame[:3, 2]
    if abs(float(axis[2])) > LEVEL:
        return
    for cut in _cuts(part):
        if abs(float(cut.normal[2])) > LEVEL:
            continue
        for edge, beside in upright_edges(part.faces, cut):
            outwards = [axis, -axis, *_flush_with(parts, ring, index, edge)]
            different = [
                one for k, one in enumerate(outwards) if not any(float(one @ other) > 1 - PARALLEL for other in outwards[:k])
            ]
            found = (tip_face(cut, edge, beside, outward, part.hulls.points) for outward in different)
            yield from (tip for tip in found if tip is not None)


def _flush_with(parts: Sequence[LaidPart], ring: ClosedRing, index: int, edge: Array) -> Iterator[Array]:
    """Yield the outward normals of the neighbours' upright long faces in whose plane an edge lies."""
    for other in ring.parts:
        for face in parts[other].faces if other != index else ():
            long = face.label.startswith("side:") and abs(float(face.normal[2])) < LEVEL
            if long and np.abs((edge - face.origin) @ face.normal).max() <= ONE_FACE:
                yield face.normal
