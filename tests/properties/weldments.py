"""Random small weldments as a shop might bring them: a part on the table, and up to two more on it, beside it or at its end.

Every builder draws from a `random.Random`, so that hypothesis can shrink what it finds and a bare seed repeats it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from random import Random

from inventory.shapes import Point3
from solver.laying.fit import fit_faults
from solver.sections import Section
from solver.weldment import Part, Pose, Tolerance, Weld, Weldment
from tests.builders import X, Y, Z

DOWN: Point3 = (0.0, 0.0, -1.0)
LENGTHS = (120, 160, 200, 240, 300, 400, 520, 640)


@dataclass(frozen=True)
class Bed:
    """A part lying along x with what others can join: its level top and its flat +y side, each from one x to another.

    `top` is (x0, x1, y0, y1, z) of the flat top, `beside` is (x0, x1, z0, z1, y) of the flat side, None where there is none.
    """

    part: Part
    top: tuple[float, float, float, float, float] | None
    beside: tuple[float, float, float, float, float] | None


def a_weldment(draw: Random, parts: int, lengths: Sequence[float] = LENGTHS) -> Weldment:
    """Return one random weldment of one to three parts whose parts and welds fit together."""
    bed = draw.choice(BEDS)(draw, draw.choice(lengths))
    found = [bed.part]
    welds: list[Weld] = []
    for number in range(2, parts + 1):
        for _ in range(6):
            more, seams = draw.choice(JOINTS)(draw, bed, f"p{number}")
            if more and not list(fit_faults([*found, more], [*welds, *seams], 0.1)):
                found.append(more)
                welds += seams
                break
    renamed = [replace(weld, id=f"w{k}", in_fixture=draw.choice(("full", "tack", "none"))) for k, weld in enumerate(welds, 1)]
    return Weldment(tuple(found), tuple(renamed), tolerances=_tolerances(draw, found))


def _tolerances(draw: Random, parts: list[Part]) -> tuple[Tolerance, ...]:
    if draw.random() < 0.8:
        return ()
    part = draw.choice(parts)
    other = draw.choice([None, *(p.id for p in parts if p is not part)])
    return (Tolerance(part.id, part.pose.at, draw.choice((X, Y)), draw.choice((0.5, 1.0, 2.0)), other),)


# --- what lies on the table ------------------------------------------------------------------------------------------


def _bed(part: Part, width: float, height: float, corner: float = 0.0) -> Bed:
    """Return a bed for a part whose box is `width` across (about y = 0) and `height` high, corners rounded off."""
    y = width / 2 - corner
    return Bed(part, (0, part.length, -y, y, height), (0, part.length, corner, height - corner, width / 2))


def flat_bar(draw: Random, length: float) -> Bed:
    """A flat bar on its wide side."""
    width, thickness = draw.choice((30, 50, 60, 80)), draw.choice((6, 8, 10, 12))
    part = Part("p1", Section("flat_bar", width=width, thickness=thickness), length, Pose((0, 0, thickness / 2), X, Z))
    return _bed(part, width, thickness)


def level_plate(draw: Random, length: float) -> Bed:
    """A plate, maybe with a notch or a hole."""
    width, thickness = draw.choice((60, 90, 140, 200)), draw.choice((5, 8, 10))
    y = width / 2
    outline = draw.choice(
        (
            ((0, -y), (length, -y), (length, y), (0, y)),
            ((0, -y), (length, -y), (length, y), (40, y), (40, y - 25), (0, y - 25)),
            ((20, -y), (length, -y), (length, y), (0, y), (0, 20 - y)),
        )
    )
    middle = length / 2
    hole = ((middle - 12, -12), (middle + 12, -12), (middle + 12, 12), (middle - 12, 12))
    section = Section("plate", plate_outline=outline, plate_cutouts=draw.choice(((), (), (hole,) if length >= 120 else ())))
    return Bed(Part("p1", section, thickness, Pose((0, 0, 0), Z, Y)), (0, length, -y, y, thickness), None)


def tube(draw: Random, length: float) -> Bed:
    """A square or rectangular tube, corners rounded by the standard or sharp."""
    wall = draw.choice((2, 3, 4))
    radius = draw.choice((None, 0.0))
    corner = 2.0 * wall if radius is None else 0.0
    width, height = draw.choice(((30, 30), (40, 40), (50, 50), (60, 40), (40, 80)))
    if width == height:
        section = Section("square_tube", width=width, wall=wall, corner_radius=radius)
    else:
        section = Section("rect_tube", width=width, height=height, wall=wall, corner_radius=radius)
    return _bed(Part("p1", section, length, Pose((0, 0, height / 2), X, Z)), width, height, corner)


def round_tube(draw: Random, length: float) -> Bed:
    """A round tube or bar; nothing is joined to it but at its end."""
    diameter = draw.choice((20, 33.7, 48.3, 60.3))
    section = draw.choice((Section("round_tube", diameter=diameter, wall=3), Section("round_bar", diameter=diameter)))
    return Bed(Part("p1", section, length, Pose((0, 0, diameter / 2), X, Z)), None, None)


def angle(draw: Random, length: float) -> Bed:
    """An angle on one leg, the other upright along y = 0."""
    leg, thickness = draw.choice((40, 50, 60)), draw.choice((4, 5, 6))
    section = Section("angle", leg_a=leg, leg_b=draw.choice((leg, leg + 20)), thickness=thickness)
    return Bed(Part("p1", section, length, Pose((0, 0, 0), X, Z)), None, None)


def channel(draw: Random, length: float) -> Bed:
    """A channel on its web, flanges up, or standing on a flange's edge with the web upright."""
    height, flange = draw.choice((60, 80, 100)), draw.choice((35, 45))
    section = Section("channel", height=height, flange=flange, web=5, flange_thickness=6)
    if draw.random() < 0.5:
        return Bed(Part("p1", section, length, Pose((0, 0, 0), X, (0, -1, 0))), None, (0, length, 0, flange, height / 2))
    part = Part("p1", section, length, Pose((0, -flange / 2, height / 2), X, Z))
    return Bed(part, (0, length, -flange / 2, flange / 2, height), None)


BEDS: tuple[Callable[[Random, float], Bed], ...] = (flat_bar, level_plate, tube, tube, round_tube, angle, channel)


# --- what is joined to it --------------------------------------------------------------------------------------------

Joined = tuple[Part | None, list[Weld]]


def _fillet(bed: Bed, other: str, *path: Point3) -> Weld:
    return Weld("w", (bed.part.id, other), path, "fillet", leg=4)


def lap(draw: Random, bed: Bed, id: str) -> Joined:
    """A plate or bar lying on top, maybe out over the edge, welded across one or both of its ends."""
    if bed.top is None:
        return None, []
    x0, x1, y0, y1, z = bed.top
    wide, over = draw.choice((40, 60, 80, 110)), draw.choice((-10, 0, 30, 60, 90))
    start = draw.choice((-40, 0, 10, 30, 50, 100))
    left, right = x0 + start, x0 + start + wide
    low, high = y0 + draw.choice((0, 5, -15)), y1 + over
    if right > x1 + 30 or high - low < 20:
        return None, []
    thickness = draw.choice((5, 8, 10))
    outline = ((left, low), (right, low), (right, high), (left, high))
    part = Part(id, Section("plate", plate_outline=outline), thickness, Pose((0, 0, z), Z, Y))
    a, b = max(low, y0), min(high, y1)
    ends = [x for x in (left, right) if x0 <= x <= x1 and b - a > 10]
    return part, [_fillet(bed, id, (x, a, z), (x, b, z)) for x in draw.sample(ends, draw.randint(0, len(ends)))]


def post(draw: Random, bed: Bed, id: str) -> Joined:
    """A square tube, a round tube or a plate standing on end on top, welded along one side."""
    if bed.top is None:
        return None, []
    x0, x1, y0, y1, z = bed.top
    x = draw.choice((30.0, 60.0, 100.0, 150.0))
    if x > x1 - x0 - 30:
        return None, []
    x, y, tall = x0 + x, (y0 + y1) / 2, draw.choice((60, 120, 200))
    kind = draw.choice(("square", "plate", "round"))
    if kind == "plate":
        half, thickness = (y1 - y0) / 2 + draw.choice((-5, 0, 25, 50)), draw.choice((6, 10))
        outline = ((-half, 0), (half, 0), (half, tall), (-half, tall))
        part = Part(id, Section("plate", plate_outline=outline), thickness, Pose((x, y, z), X, Z))
        a, b = max(y - half, y0), min(y + half, y1)
        # u = v x w = z x x = y: the outline stands across the bed
        return part, [_fillet(bed, id, (x + side, a, z), (x + side, b, z)) for side in _sides(draw, thickness)]
    size = draw.choice((20, 30))
    if kind == "round":
        section = Section("round_tube", diameter=size, wall=3)
        return Part(id, section, tall, Pose((x, y, z), Z, Y)), []
    part = Part(id, Section("square_tube", width=size, wall=3, corner_radius=0.0), tall, Pose((x, y, z), Z, Y))
    half = size / 2
    return part, [_fillet(bed, id, (x + side, y - half, z), (x + side, y + half, z)) for side in _sides(draw, half, -half)]


def _sides(draw: Random, *places: float) -> list[float]:
    both = [0.0, *places] if len(places) == 1 else list(places)
    return draw.sample(both, draw.randint(0, 2))


def tee(draw: Random, bed: Bed, id: str) -> Joined:
    """A bar or tube running off the flat side at a right angle, welded along its upright corners or on top."""
    if bed.beside is None:
        return None, []
    x0, x1, z0, z1, y = bed.beside
    size = draw.choice((30, 40, 50))
    x = x0 + draw.choice((20, 40, 80, 120))
    if x + size / 2 > x1 + 15:
        return None, []
    length = draw.choice((80, 150, 240))
    if z1 - z0 < 20:
        thickness = z1 - z0
        section, height, corner = Section("flat_bar", width=size, thickness=thickness), thickness, 0.0
    else:
        section, height, corner = Section("square_tube", width=size, wall=3, corner_radius=0.0), float(size), 0.0
    part = Part(id, section, length, Pose((x, y, height / 2), Y, Z))
    top, bottom = min(height - corner, z1), max(z0, 0.0)
    if top - bottom < 10:
        if abs(height - z1) > 1:
            return None, []
        low, high = max(x - size / 2, x0), min(x + size / 2, x1)
        return part, [Weld("w", (bed.part.id, id), ((low, y, height), (high, y, height)), "butt", throat=4)]
    corners = [x + side for side in (-size / 2, size / 2) if x0 <= x + side <= x1]
    return part, [_fillet(bed, id, (at, y, bottom), (at, y, top)) for at in draw.sample(corners, draw.randint(0, len(corners)))]


def butt(draw: Random, bed: Bed, id: str) -> Joined:
    """The same section going on beyond the end, welded on top."""
    part = bed.part
    if part.section.shape == "plate" or bed.top is None:
        return None, []
    more = Part(id, part.section, draw.choice((80, 150, 260)), replace(part.pose, at=(part.length, *part.pose.at[1:])))
    _, end, y0, y1, z = bed.top
    return more, [Weld("w", (part.id, id), ((end, y0, z), (end, y1, z)), "butt", throat=4)] * draw.randint(0, 1)


JOINTS: tuple[Callable[[Random, Bed, str], Joined], ...] = (lap, lap, post, tee, tee, butt)
