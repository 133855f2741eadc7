"""Random weldments of one to eight parts: frames, ladders, tees, plates on plates, posts with caps and gussets, braces at angles.

They grow part by part: every part offers seats and corners, and another joins one of them, so that all parts touch, none
stands in another and every weld lies on a joint. What the fit of parts and welds refuses is drawn again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from random import Random

from inventory.shapes import Point3
from solver.access.torch import free_torch_directions
from solver.laying.fit import fit_faults
from solver.laying.lay_out import drawn_samples, lay_out
from solver.laying.lies import least_rotation
from solver.rule_book.book import RuleBook
from solver.sections import Section
from solver.weldment import InFixture, OpenDimension, Part, Pose, Tolerance, Weld, Weldment
from tests.builders import X, Y, Z
from tests.properties.seats import Corner, Offers, Profile, Seat, a_profile, circle, cross, laid, minus, slot, step

GROUND: Point3 = (0.0, 0.0, 0.0)
DEEPEST = 4
"""Parts stand on each other at most so deep."""
TRIES = 40


@dataclass
class Growing:
    """A weldment as it grows."""

    draw: Random
    parts: list[Part] = field(default_factory=list)
    welds: list[Weld] = field(default_factory=list)
    offers: Offers = field(default_factory=Offers)

    @property
    def next_id(self) -> str:
        """The id of the part that joins next."""
        return f"p{len(self.parts) + 1}"

    def add(self, parts: list[Part], welds: list[Weld], seats: list[Seat], corners: list[Corner]) -> bool:
        """Take parts in if they fit; return whether they do."""
        if list(fit_faults([*self.parts, *parts], [*self.welds, *welds], 0.1)):
            return False
        self.parts += parts
        self.welds += welds
        self.offers.seats += seats
        self.offers.corners += corners
        return True

    def beads(self, one: str, other: str, *paths: tuple[Point3, Point3], most: int = 1) -> list[Weld]:
        """Return fillets along some of these paths, mostly at most so many: what is welded all round cannot be located."""
        count = 2 if self.draw.random() < 0.1 else self.draw.randint(0, most)
        chosen = self.draw.sample(paths, min(count, len(paths)))
        return [Weld("w", (one, other), path, "fillet", leg=self.draw.choice((3, 4, 5))) for path in chosen]


def a_structure(draw: Random, parts: int) -> Weldment:
    """Return a random weldment of exactly so many parts."""
    while True:
        growing = Growing(draw)
        draw.choice([start for least, start in STARTS if least <= parts])(growing, parts)
        for _ in range(TRIES):
            if len(growing.parts) == parts:
                return _finished(growing)
            joint = draw.choice(JOINTS)
            joint(growing)


def _finished(growing: Growing) -> Weldment:
    draw = growing.draw
    welds = [replace(weld, id=f"w{k}", in_fixture=_when(draw)) for k, weld in enumerate(growing.welds, 1)]
    shut = _shut(Weldment(tuple(growing.parts), tuple(welds)))
    welds = [replace(weld, in_fixture="none") if weld.id in shut and draw.random() < 0.95 else weld for weld in welds]
    tolerances, opened = [], []
    part = draw.choice(growing.parts)
    if draw.random() < 0.15:
        other = draw.choice([None, *(p.id for p in growing.parts if p is not part)])
        tolerances.append(Tolerance(part.id, part.pose.at, draw.choice((X, Y)), draw.choice((1.0, 2.0)), other))
    if draw.random() < 0.08:
        opened.append(OpenDimension(growing.parts[-1].id, draw.choice((X, Y)), -draw.choice((2.0, 4.0)), draw.choice((2.0, 4.0))))
    return Weldment(tuple(growing.parts), tuple(welds), tolerances=tuple(tolerances), open_dimensions=tuple(opened))


def _shut(weldment: Weldment) -> set[str]:
    """Return the welds that the torch cannot reach past the parts; most are drawn as welded outside the fixture."""
    rules = RuleBook()
    samples, closed = drawn_samples(weldment, rules)
    ways = free_torch_directions(lay_out(weldment, rules, least_rotation("-z"), 0.0, samples))
    reached = set(ways.sample.tolist())
    return {*closed, *(weldment.welds[sample.weld].id for k, sample in enumerate(samples) if k not in reached)}


def _when(draw: Random) -> InFixture:
    states: tuple[InFixture, ...] = ("full", "full", "tack", "tack", "none")
    return draw.choice(states)


# --- what it starts from ---------------------------------------------------------------------------------------------


def one_profile(growing: Growing, parts: int) -> None:
    """A profile lying on the table."""
    draw = growing.draw
    profile = a_profile(draw) if parts == 1 else a_profile(draw, "square square rect bar bar channel angle")
    part, seats = laid("p1", profile, GROUND, X, draw.choice((200, 240, 320, 400, 480)))
    growing.add([part], [], seats, [])


def one_plate(growing: Growing, parts: int) -> None:
    """A level plate, maybe with a notch, a hole or a slot."""
    draw = growing.draw
    long, wide, thick = draw.choice((160, 200, 240, 320)), draw.choice((80, 120, 160)), draw.choice((6, 8, 10))
    square = ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))
    notched = ((0.0, 0.0), (long, 0.0), (long, wide), (60.0, wide), (60.0, wide - 30), (0.0, wide - 30))
    outline = draw.choice((square, square, notched))
    holes = draw.choice(((), (), (circle(long - 40, 40, 16.02),), (slot(long / 2, wide / 2, 40, 16),)))
    part = Part("p1", Section("plate", plate_outline=outline, plate_cutouts=holes), thick, Pose(GROUND, Z, Y))
    usable = long / 2 - 20 if holes else long
    high = wide if outline is square else wide - 30
    growing.add([part], [], [Seat("p1", "top", (0.0, 0.0, float(thick)), X, Y, Z, usable, high)], [])


def pinned_plate(growing: Growing, parts: int) -> None:
    """A plate with a round hole and a bar standing in it."""
    draw = growing.draw
    long, wide, thick, size = draw.choice((160, 200, 240)), draw.choice((100, 120)), draw.choice((10, 12)), draw.choice((20, 30))
    outline = ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))
    middle = (60.0, wide / 2)
    plate = Part(
        "p1", Section("plate", plate_outline=outline, plate_cutouts=(circle(*middle, size + 0.6),)), thick, Pose(GROUND, Z, Y)
    )
    pin = Part("p2", Section("round_bar", diameter=size), draw.choice((60, 100)), Pose((*middle, 0.0), Z, Y))
    growing.add([plate, pin], [], [Seat("p1", "top", (100.0, 0.0, float(thick)), X, Y, Z, long - 100, wide)], [])


def frame(growing: Growing, parts: int) -> None:
    """Two rails and two or more rungs between them: a frame or a ladder."""
    draw = growing.draw
    rungs = 2 if parts < 6 else draw.choice((2, 2, 3, min(4, parts - 2)))
    profile = a_profile(draw, "square square rect bar")
    size, gap, bay = profile.width, draw.choice((120, 160, 240)), draw.choice((120, 160, 200))
    inset = draw.choice((0.0, 40.0))
    long = 2 * inset + size + bay * (rungs - 1)
    one, seats = laid("p1", profile, GROUND, X, long)
    other, more = laid("p2", profile, (0.0, gap + size, 0.0), X, long)
    found, welds, corners = [one, other], list[Weld](), list[Corner]()
    seats = [seat for seat in (*seats, *more) if seat.facing == "top" or abs(seat.corner[1] - size / 2) > gap + 1]
    low, high, c, top = size / 2, size / 2 + gap, profile.corner, profile.height
    for number in range(rungs):
        id, x = f"p{number + 3}", inset + size / 2 + bay * number
        rung, own = laid(id, profile, (x, low, 0.0), Y, gap)
        found.append(rung)
        seats += [seat for seat in own if seat.facing == "top"]
        wide = (x - size / 2 + c, x + size / 2 - c)
        for rail, y in (("p1", low), ("p2", high)):
            ends = ((wide[0], y, top), (wide[1], y, top))
            welds += [] if draw.random() < 0.5 or c else [Weld("w", (rail, id), ends, "butt", throat=3)]
        if number + 1 < rungs:
            at, reach = (x + size / 2, low, 0.0), (bay - size, float(gap))
            corners.append(Corner("p1", id, at, X, Y, reach, size, profile.height, level=True))
    growing.add(found, welds, seats, corners)


STARTS: list[tuple[int, Callable[[Growing, int], None]]] = [
    *[(1, one_profile)] * 3, (1, one_plate), *[(2, one_profile)] * 3, (2, pinned_plate), *[(4, frame)] * 3, *[(6, frame)] * 4,
]  # fmt: skip
"""What a weldment starts from, with the fewest parts it makes sense for."""


# --- what joins it ---------------------------------------------------------------------------------------------------


def _a_seat(growing: Growing, facing: str, deepest: int = DEEPEST) -> Seat | None:
    found = [seat for seat in growing.offers.seats if seat.facing == facing and seat.depth < deepest]
    return growing.draw.choice(found) if found else None


def _place(draw: Random, room: float, size: float) -> float | None:
    """Return where something `size` long begins on a seat with so much room, on a 20 mm grid; None if there is no room."""
    places = [20.0 * k for k in range(int((room - size) // 20) + 1)]
    return draw.choice(places) if places else None


def lap(growing: Growing) -> bool:
    """A plate lying on top, maybe out over an edge, welded across its ends."""
    draw, seat = growing.draw, _a_seat(growing, "top")
    long = draw.choice((80, 100, 140))
    if seat is None or (start := _place(draw, seat.length, long)) is None:
        return False
    low, high = draw.choice((0.0, 0.0, 10.0)), seat.width + draw.choice((-10, 0, 30, 50))
    if draw.random() < 0.95:
        high = min(high, 2 * seat.width - low - 24)
    if high - low < 25:
        return False
    thick = draw.choice((6, 8, 10))
    outline = ((0.0, 0.0), (high - low, 0.0), (high - low, float(long)), (0.0, float(long)))
    hole = (circle((high - low) / 2, long / 2, 16.02),) if draw.random() < 0.15 and high - low > 50 else ()
    # w = normal, v = along, so u = v x w = along x normal = -across on a top seat seen from above: the outline starts at the high end
    part = Part(
        growing.next_id,
        Section("plate", plate_outline=outline, plate_cutouts=hole),
        thick,
        Pose(seat.at(start, high), Z, seat.along),
    )
    ends = [(seat.at(start + end, low), seat.at(start + end, min(high, seat.width))) for end in (0.0, float(long))]
    welds = growing.beads(seat.part, part.id, *ends, most=2 if high >= seat.width + 30 else 1)
    top = Seat(
        part.id, "top", seat.at(start, low, thick), seat.along, seat.across, Z, long, min(high, seat.width) - low, seat.depth + 1
    )
    return growing.add([part], welds, [top] if not hole else [], [])


def upright(growing: Growing) -> bool:
    """A plate standing on edge, across what it stands on or along it, welded along one or both sides."""
    draw, seat = growing.draw, _a_seat(growing, "top")
    thick, tall = draw.choice((8, 10, 12)), draw.choice((60, 80, 120))
    if seat is None:
        return False
    if draw.random() < 0.6:
        wide = seat.width + draw.choice((-10, 0, 20, 40))
        start = _place(draw, seat.length - 20, thick)
        if start is None or wide < 30:
            return False
        start += 10
        low, high = (seat.width - wide) / 2, (seat.width + wide) / 2
        run, side, corner, room = seat.across, seat.along, seat.at(start, low), wide
        inner = (max(low, 0.0), min(high, seat.width))
        lines = [(seat.at(start + k, inner[0]), seat.at(start + k, inner[1])) for k in (0.0, float(thick))]
    else:
        wide = draw.choice((60, 80, 120))
        begin = _place(draw, seat.length, wide)
        if begin is None or seat.width < 30:
            return False
        place = (seat.width - thick) / 2
        run, side, corner, room = seat.along, seat.across, seat.at(begin, place), float(wide)
        lines = [(seat.at(begin, place + k), seat.at(begin + wide, place + k)) for k in (0.0, float(thick))]
    outline = ((0.0, 0.0), (room, 0.0), (room, float(tall)), (0.0, float(tall)))
    origin, way = (corner, side) if cross(Z, side) == run else (step(corner, (thick, side)), minus(side))
    if cross(Z, way) != run:
        return False
    part = Part(growing.next_id, Section("plate", plate_outline=outline), thick, Pose(origin, way, Z))
    return growing.add([part], growing.beads(seat.part, part.id, *lines), [], [])


def post(growing: Growing) -> bool:
    """A square or round tube standing on end; a square one may be gusseted, and either may carry a cap."""
    draw, seat = growing.draw, _a_seat(growing, "top")
    size, tall = draw.choice((30, 40, 50)), draw.choice((80, 120, 160))
    if seat is None or size > seat.width or (start := _place(draw, seat.length, size)) is None:
        return False
    middle, depth = seat.at(start + size / 2, seat.width / 2), seat.depth + 1
    half = size / 2
    kind = draw.choice(("square", "square", "round"))
    if kind == "round":
        section = draw.choice((Section("round_tube", diameter=size, wall=3), Section("round_bar", diameter=size)))
        return growing.add([Part(growing.next_id, section, tall, Pose(middle, Z, Y))], [], [], [])
    section = Section("square_tube", width=size, wall=3, corner_radius=0.0)
    part = Part(growing.next_id, section, tall, Pose(middle, Z, Y))
    a, b = start, seat.width / 2 - half
    lines = [(seat.at(a + k, b), seat.at(a + k, b + size)) for k in (0.0, float(size))]
    lines = [draw.choice(lines), draw.choice([(seat.at(a, b + k), seat.at(a + size, b + k)) for k in (0.0, float(size))])]
    top = Seat(part.id, "top", step(seat.at(a, b), (tall, Z)), seat.along, seat.across, Z, size, size, depth)
    corners = []
    for sign, room in ((1.0, seat.length - a - size), (-1.0, a)):
        if room >= 40:
            way = seat.along if sign > 0 else minus(seat.along)
            at = seat.at(a + size if sign > 0 else a, seat.width / 2)
            corners.append(Corner(seat.part, part.id, at, way, Z, (room, float(tall)), size, size, level=False, depth=depth))
    return growing.add([part], growing.beads(seat.part, part.id, *lines), [top], corners)


def cap(growing: Growing) -> bool:
    """A level plate on top of a post, out over it all round."""
    draw = growing.draw
    posts = [
        seat for seat in growing.offers.seats if seat.facing == "top" and seat.length == seat.width and 1 < seat.depth < DEEPEST
    ]
    if not posts:
        return False
    seat = draw.choice(posts)
    thick, over = draw.choice((6, 8, 10)), draw.choice((0, 10, 25))
    size = seat.length + 2 * over
    outline = ((0.0, 0.0), (size, 0.0), (size, size), (0.0, size))
    part = Part(
        growing.next_id, Section("plate", plate_outline=outline), thick, Pose(seat.at(-over, seat.width + over), Z, seat.along)
    )
    lines = [(seat.at(k, 0.0), seat.at(k, seat.width)) for k in (0.0, seat.length)]
    top = Seat(part.id, "top", seat.at(-over, -over, thick), seat.along, seat.across, Z, size, size, seat.depth + 1)
    return growing.add([part], growing.beads(seat.part, part.id, *lines) if over >= 10 else [], [top], [])


def tee(growing: Growing) -> bool:
    """A profile lying on the table, running off a side at a right angle, welded along its upright corners or on top."""
    draw, seat = growing.draw, _a_seat(growing, "side", 2)
    if seat is None:
        return False
    high = seat.width + 2 * seat.corner[2]
    flat = high < 25
    if flat:
        size = draw.choice((40, 50, 60))
        profile = Profile(Section("flat_bar", width=size, thickness=high), size, high)
    else:
        profile = draw.choice((a_profile(draw, "square rect channel angle"), a_profile(draw, "square")))
    start = _place(draw, seat.length, profile.width)
    if start is None:
        return False
    middle = start + profile.width / 2
    length = draw.choice((120, 160, 200, 240))
    foot = step(seat.at(middle, 0.0), (-seat.corner[2], Z))
    part, seats = laid(growing.next_id, profile, foot, seat.normal, length)
    top = min(profile.height - profile.corner, high - seat.corner[2])
    bottom = max(profile.corner, seat.corner[2])
    if flat:
        across = (seat.at(start, high), seat.at(start + profile.width, high))
        welds = [Weld("w", (seat.part, part.id), across, "butt", throat=3)] if draw.random() < 0.7 else []
    else:
        ends = [start] if profile.back else [start, start + profile.width]
        lines = [
            (step(seat.at(k, 0.0), (bottom - seat.corner[2], Z)), step(seat.at(k, 0.0), (top - seat.corner[2], Z))) for k in ends
        ]
        welds = growing.beads(seat.part, part.id, *lines) if not profile.corner and not profile.back else []
    corners = []
    for sign, room in ((1.0, seat.length - start - profile.width), (-1.0, start)):
        if room >= 60 and profile.left and profile.right and not flat:
            way = seat.along if sign > 0 else minus(seat.along)
            at = step(foot, (sign * profile.width / 2, seat.along))
            corners.append(
                Corner(
                    seat.part, part.id, at, way, seat.normal, (room, length), profile.width, min(high, profile.height), level=True
                )
            )
    return growing.add([part], welds, seats, corners)


def brace(growing: Growing) -> bool:
    """A level plate at an angle between two profiles at a corner, its ends cut to lie against them."""
    draw = growing.draw
    found = [corner for corner in growing.offers.corners if corner.level and min(corner.reach) >= 80 and corner.high >= 20]
    if not found:
        return False
    corner = draw.choice(found)
    wide, thick = draw.choice((40, 60)), draw.choice((8, 10))
    a, b = (draw.choice([far for far in (20.0, 40.0, 60.0, 80.0, 100.0) if far + wide <= reach]) for reach in corner.reach)
    ratio = b / a
    ends = (a, a + wide, b + wide * ratio, b)
    if ends[2] > corner.reach[1]:
        return False
    points = [(corner.way, ends[0]), (corner.way, ends[1]), (corner.rise, ends[2]), (corner.rise, ends[3])]
    flat = [step(corner.at, (far, way)) for way, far in points]
    outline = tuple((x - flat[0][0], y - flat[0][1]) for x, y, _ in flat)
    part = Part(growing.next_id, Section("plate", plate_outline=outline), thick, Pose(step(flat[0], (0.0, Z)), Z, Y))
    lines = [
        (step(corner.at, (near, way), (thick, Z)), step(corner.at, (far, way), (thick, Z)))
        for way, near, far in ((corner.way, *ends[:2]), (corner.rise, *ends[2:]))
    ]
    welds = [
        weld for name, line in zip((corner.one, corner.other), lines, strict=True) for weld in growing.beads(name, part.id, line)
    ]
    if not growing.add([part], welds, [], []):
        return False
    growing.offers.corners.remove(corner)
    return True


def gusset(growing: Growing) -> bool:
    """A three-cornered plate standing in the corner between a post and what it stands on, welded along one side."""
    draw = growing.draw
    found = [corner for corner in growing.offers.corners if not corner.level]
    if not found:
        return False
    corner = draw.choice(found)
    size = draw.choice([far for far in (40.0, 60.0, 80.0) if far <= min(corner.reach)])
    thick = draw.choice((6, 8, 10))
    side = cross(corner.way, Z)
    # v = Z and w = side, so u = Z x side: the way the corner opens
    outline = ((0.0, 0.0), (size, 0.0), (size, 15.0), (15.0, size), (0.0, size))
    part = Part(
        growing.next_id, Section("plate", plate_outline=outline), thick, Pose(step(corner.at, (-thick / 2, side)), side, Z)
    )
    lines = [(step(corner.at, (k, side)), step(corner.at, (k, side), (size, corner.way))) for k in (-thick / 2, thick / 2)]
    if not growing.add([part], growing.beads(corner.one, part.id, *lines), [], []):
        return False
    growing.offers.corners.remove(corner)
    return True


JOINTS: tuple[Callable[[Growing], bool], ...] = (lap, lap, upright, post, cap, tee, tee, brace, gusset)
