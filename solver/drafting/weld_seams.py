"""Seams: every bead that two touching parts offer, each with its path, its kind, a size and a name."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from inventory.shapes import Array, Point3
from solver.drafting.directions import among_words, side_words
from solver.drafting.remembering import PAIRS, remembered
from solver.drafting.tidy import tidy, tidy_point
from solver.drafting.touching.beads import StraightBead, clear_beads, straight_beads
from solver.drafting.touching.kinds import size_of
from solver.drafting.touching.parts_in_place import in_place
from solver.drafting.touching.runs import OFF_ROUND, distances_to_path, in_order, runs_of
from solver.drafting.touching.touching_pair import TouchingPair
from solver.geometry.overlaps import close_pairs
from solver.laying.fit import sampled
from solver.weldment import InFixture, Part, Weld, WeldKind

SHORTEST = 5.0
"""Nobody welds a bead shorter than this for its own sake, mm."""
NOISE = 1e-5
"""Equal is long enough: so little may lack for rounding's sake, mm."""
NEAR = 1.0
"""Parts whose boxes come this near may touch, mm: an edge may lie beside a round surface, a little off it."""
ON_SEAM = 2.0
"""A weld whose path stays this near to a seam's is a weld on that seam, mm."""
PATH_DIGITS = 6
SIDE_DIGITS = 3
SQUARE_DEG = (89.0, 91.0)
"""An opening between these is that of a square corner, degrees; openings are measured to half a degree."""
OUTSIDE_DEG = 181.0
"""Wider than this the bead lies on an edge that stands out of the two parts together, degrees."""
LEVEL = 0.1
"""A bead's side is told in the plane in which the parts touch, unless less than this of its direction lies in it."""


@dataclass(frozen=True, slots=True)
class Seam:
    """A bead that could be laid between two parts.

    Parameters
    ----------
    parts : (str, str)
        The parts' ids, in the order of the weldment.
    path : tuple of Point3
        Its root, in the weldment's frame as drawn; closed if the last point is the first.
    kind : WeldKind
        By the air between the parts, as `solver.drafting.kinds` says.
    opening : float
        The air between the parts in the middle of the path, degrees, found to a degree.
    openings : (float, float)
        The least and the most of it along the path, degrees: they differ around a strut that leans, or a round mitre.
    open_side : Point3
        Unit: the middle of the open wedge, in the middle of the path; of a closed path half-way round.
    side : Point3 or None
        What a weld has to say of its side: `open_side` where the parts are open on more than one side of the line.
    leg, throat : float or None
        Proposed by a rule of thumb, mm; a kind has one of the two.
    place : str
        Which part on which, and where: ``lug on post, far side``.
    """

    parts: tuple[str, str]
    path: tuple[Point3, ...]
    kind: WeldKind
    opening: float
    openings: tuple[float, float]
    open_side: Point3
    side: Point3 | None
    leg: float | None
    throat: float | None
    place: str

    @property
    def length(self) -> float:
        """Along the path, mm."""
        return tidy(sum(math.dist(a, b) for a, b in pairwise(self.path)), PATH_DIGITS)

    @property
    def closed(self) -> bool:
        """Whether the path ends where it starts."""
        return len(self.path) > 2 and self.path[0] == self.path[-1]

    @property
    def outside_corner(self) -> bool:
        """Whether it lies outside on a corner.

        That is where the air is wider than 181 degrees all along, so that the line is an edge of the two parts together, and
        where the edge of one sheet closes a corner flush with the face of another (kind ``corner``).
        """
        return self.kind == "corner" or (self.kind != "flare" and self.openings[0] > OUTSIDE_DEG)

    @property
    def square_corner(self) -> bool:
        """Whether the faces beside it stand at 90 degrees to each other all along, to a degree, with the bead within."""
        return self.kind != "flare" and SQUARE_DEG[0] <= self.openings[0] and self.openings[1] <= SQUARE_DEG[1]

    @property
    def words(self) -> str:
        """Its place and its length: ``lug on post, far side, 38 mm``."""
        return f"{self.place}, {round(self.length)} mm"

    def weld(self, id: str, in_fixture: InFixture = "full", process: str = "") -> Weld:
        """Return the weld that this seam proposes, under an id."""
        return Weld(id, self.parts, self.path, self.kind, self.leg, self.throat, in_fixture, process, self.side)


def seams(parts: Sequence[Part]) -> list[Seam]:
    """Return every bead that the parts of a weldment offer, pair by pair in the order of the parts, the longest of a pair first.

    Beads are offered wherever an edge of one part lies on the other, and in the grooves beside round surfaces, where the wedge
    between the two is open (wider than 30 degrees) and no other part lies in it. None are offered inside hollow sections, round
    the corners of square and rectangular tubes, or shorter than 5 mm. Parts of one id are not tried against each other, bodies
    with nothing: where they touch is not known.
    """
    drawn = [in_place(part) for part in parts if not part.body]
    near = close_pairs([body.prism for body in drawn], np.full((len(drawn), len(drawn)), -NEAR))
    boxes = np.array([body.box for body in drawn]).reshape(-1, 2, 3)
    found: list[Seam] = []
    for earlier, later in sorted(near):
        one, two = drawn[earlier], drawn[later]
        beads = straight_beads(one.part, two.part) if one.part.id != two.part.id else ()
        if not beads:
            continue
        ends = np.concatenate([bead.line.ends for bead in beads])
        pair = TouchingPair(one, two)
        leg = size_of(pair).leg
        beside = ((boxes[:, 0] < ends.max(axis=0) + leg) & (boxes[:, 1] > ends.min(axis=0) - leg)).all(axis=1)
        others = [drawn[index] for index in np.flatnonzero(beside).tolist() if index not in (earlier, later)]
        clear = clear_beads(pair, beads, others)
        untouched = len(clear) == len(beads) and all(left is bead for left, bead in zip(clear, beads, strict=True))
        found += pair_seams(one.part, two.part) if untouched else _seams_of(pair, clear)
    return found


@remembered(PAIRS)
def pair_seams(one: Part, two: Part) -> tuple[Seam, ...]:
    """Return every bead that two parts offer, whatever else lies there; a body offers none."""
    if one.body or two.body:
        return ()
    return tuple(_seams_of(TouchingPair(in_place(one), in_place(two)), straight_beads(one, two)))


def weld_on(seam: Seam, welds: Iterable[Weld]) -> Weld | None:
    """Return the first weld that lies on a seam, all of it or a stretch of it; None if there is none.

    A weld lies on it that joins the same two parts, whose path stays within 2 mm of the seam's, and that has its bead on the
    same side, if it says on which.
    """
    for weld in welds:
        if frozenset(weld.parts) != frozenset(seam.parts):
            continue
        if float(distances_to_path(sampled(weld.path), np.array(seam.path)).max()) > ON_SEAM:
            continue
        if weld.side is None or seam.side is None or np.dot(weld.side, seam.side) > 0:
            return weld
    return None


def _seams_of(pair: TouchingPair, beads: Sequence[StraightBead]) -> list[Seam]:
    found = [_seam(pair, run, points) for run, points in runs_of(beads) if _length(points) > SHORTEST - NOISE]
    return _told_apart(sorted(found, key=_order))


def _order(seam: Seam) -> tuple[object, ...]:
    """Return what sorts the seams of two parts: longer ones first, then by where they are, then by their side."""
    middle, side = np.mean(np.array(seam.path), axis=0), np.array(seam.open_side)
    return -round(seam.length + OFF_ROUND, 2), in_order(middle), in_order(-side)


def _told_apart(seams: Sequence[Seam]) -> list[Seam]:
    """Return seams of two parts with places of their own: of those of one place it is said where among them each lies."""
    middles = np.array([np.mean(seam.path, axis=0) for seam in seams])
    found = list(seams)
    for place, count in Counter(seam.place for seam in seams).items():
        if count == 1:
            continue
        alike = [number for number, seam in enumerate(seams) if seam.place == place]
        where = [among_words(place, middles[number] - middles[alike].mean(axis=0)) for number in alike]
        for rank, (number, words) in enumerate(zip(alike, where, strict=True), 1):
            found[number] = replace(seams[number], place=f"{place}, {words if where.count(words) == 1 else rank}")
    return found


def _length(points: Array) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _seam(pair: TouchingPair, run: Sequence[StraightBead], points: Array) -> Seam:
    middle = _middle_bead(run, points)
    leg, throat = size_of(pair).of(middle.kind)
    open_side = tidy_point(middle.wedge.bisector, SIDE_DIGITS)
    several = any(bead.several for bead in run)
    path = tuple(tidy_point(point, PATH_DIGITS) for point in points)
    degrees = [tidy(math.degrees(bead.wedge.opening), 1) for bead in run]
    opening, openings = tidy(math.degrees(middle.wedge.opening), 1), (min(degrees), max(degrees))
    place = _place(pair, middle, closed=len(path) > 2 and path[0] == path[-1])
    parts = (pair.one.part.id, pair.two.part.id)
    return Seam(parts, path, middle.kind, opening, openings, open_side, open_side if several else None, leg, throat, place)


def _middle_bead(run: Sequence[StraightBead], points: Array) -> StraightBead:
    """Return the bead that the middle of a path lies on."""
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    half = np.array([np.interp(along[-1] / 2, along, points[:, axis]) for axis in range(3)])
    return min(run, key=lambda bead: float(distances_to_path(half[None], bead.line.ends)[0]))


def _place(pair: TouchingPair, bead: StraightBead, closed: bool) -> str:
    """Return which part lies on which, and on which side of it the bead is."""
    line, wedge = bead.line, bead.wedge
    on, base = pair.on_and_base(line.middle)
    joined = "to" if bead.kind in ("butt", "corner") else "on"
    if closed:
        return f"{on.part.id} {joined} {base.part.id}, all round"
    normal = pair.normal_at(line.middle)
    normal = line.normal if normal is None else normal
    outwards = wedge.bisector if line.outwards is None else line.outwards
    level = outwards - float(outwards @ normal) * normal
    level = level if float(np.linalg.norm(level)) > LEVEL else outwards
    return f"{on.part.id} {joined} {base.part.id}, {side_words(level / np.linalg.norm(level), 'side')}"
