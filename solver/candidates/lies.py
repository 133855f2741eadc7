"""How the weldment may lie: which side is down, how it is turned, where the lattice runs under it, where on the table."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.items import Item
from inventory.shapes import Array, turned
from inventory.tables import Hole, Table
from solver.candidates.assembly import Assembly, HeldPart, least_rotation
from solver.candidates.placing import SLOPING, Lattice, Match
from solver.candidates.sites import Sites
from solver.candidates.stands import Stand, carriers, raised, single, turns_of
from solver.geometry.hulls import Flags, Index
from solver.request import Down, Request, Without

MOST_LIFTS = 6
MARGIN = 200.0
"""Room around the weldment that hardware is likely to want, mm."""
STEEPEST = 4
"""Slanted faces along up to this many holes by one are met by several pieces that do not move along one face; others by one."""
MOST_ASKEW = 240
"""Lattice positions tried for parts at other angles, at most."""
SAME_PHASE = 0.03
"""Lattice positions nearer than this are one, mm."""


@dataclass(frozen=True)
class Lie:
    """One way to lie: direction down, turn, lift above the table's top (mm), and the turns that are the same to hardware."""

    down: Down
    turn: float
    lift: float
    same_turns: tuple[float, ...]

    @property
    def rotation(self) -> Array:
        """Rotation (3x3) from the weldment's directions to the table's."""
        rotation: Array = turned(self.turn)[:3, :3] @ least_rotation(self.down)
        return rotation


def lies_of(request: Request, items: Sequence[Item], lifts: Sequence[float]) -> list[Lie]:
    """Return the lies to search: turns that differ by quarter turns are one lie if all hardware turns by quarters too."""
    quarters = all(_turns_by_quarters(item) for item in items)
    found = []
    for down in request.down:
        for lift in lifts:
            groups: dict[float, list[float]] = {}
            for turn in request.turn:
                groups.setdefault(round(turn % 90.0, 6) if quarters else turn % 360.0, []).append(turn % 360.0)
            found += [Lie(down, turns[0], lift, tuple(turns)) for turns in groups.values()]
    return found


def _turns_by_quarters(item: Item) -> bool:
    if item.turns == "any":
        return True
    turns = {round(turn % 360.0, 6) for turn in item.turns}
    return turns == {round((turn + 90.0) % 360.0, 6) for turn in turns}


def lifts_of(items: Sequence[Item], assembly: Assembly, pitch: float, least: float = 0.0) -> list[float]:
    """Return heights to raise a weldment that cannot lie on the table: rests, risers and V-blocks under its lowest parts, mm.

    `assembly` lies on the table. Pieces stand alone or on one riser; of heights of at least `least` the lowest first, at most
    `MOST_LIFTS`.
    """
    risers = [stand for stand in carriers([item for item in items if item.carries], pitch) if len(stand.levels) == 1]
    found: set[float] = set()
    lowest = [part for part in assembly.parts if float(part.hulls.points[:, 2].min()) < SAME_PHASE]
    for item in items:
        if item.clamp is not None or not any(contact.normal[2] > 0.5 for contact in item.contacts):
            continue
        alone = single(item, turns_of(item, (0.0,))[0])
        for stand in (alone, *(on for riser in risers for on in raised(item, alone.turn, riser, pitch))):
            for part in lowest:
                found |= {round(height, 3) for height in _heights(stand, part) if height > max(SAME_PHASE, least)}
    return sorted(found)[:MOST_LIFTS]


def _heights(stand: Stand, part: HeldPart) -> list[float]:
    """Return how high a part's lowest line or face stands on a stand's upward pads."""
    level = [float(pad.at[2]) for pad in stand.pads if pad.normal[2] > 1 - 1e-6]
    flanks = [pad for pad in stand.pads if 0.5 < pad.normal[2] < 1 - 1e-6]
    if part.part.section.round and len(flanks) == 2:
        radius = (part.part.section.diameter or 0.0) / 2
        rows = np.array([[np.hypot(*pad.normal[:2]) * np.sign(pad.normal @ flanks[0].normal), pad.normal[2]] for pad in flanks])
        rows[1, 0] = -rows[0, 0]
        meets = np.linalg.solve(rows, [radius + float(pad.normal @ pad.at) for pad in flanks])
        return [float(meets[1]) - radius]
    return level if not part.part.section.round else []


def phases_of(stands: Sequence[Stand], found: Sequence[Match], pitch: float) -> tuple[list[float], list[float]]:
    """Return the x and y lattice positions (mod pitch, mm) at which some pad that does not move meets some face."""
    seen: tuple[set[float], set[float]] = (set(), set())
    for match in found:
        stand = stands[match.stand]
        if stand.push is not None or (stand.travel is not None and match.pad.moves):
            continue
        for axis in range(2):
            place = match.place(axis)
            if place is not None:
                seen[axis].add(round(place % pitch, 3) % pitch)
    return _distinct(seen[0]), _distinct(seen[1])


def sliding_phases(
    stands: Sequence[Stand], found: Sequence[Match], pitch: float, every: float
) -> tuple[list[float], list[float]]:
    """Return an even grid of positions at which stepping pads meet faces, for fixtures of adjustable pieces only."""
    starts: tuple[set[float], set[float]] = (set(), set())
    for match in found:
        stand = stands[match.stand]
        if stand.travel is None or stand.push is not None or not match.pad.moves:
            continue
        for axis in range(2):
            place = match.place(axis)
            if place is not None:
                first = place - float(match.pad.normal[axis]) * stand.travel[1]
                starts[axis].add(round(first % min(every, stand.travel[3] or every), 3))
    return tuple(  # type: ignore[return-value]
        _distinct(
            {round((start + k * every) % pitch, 3) for start in sorted(axis)[:2] or [0.0] for k in range(int(pitch / every))}
        )
        for axis in starts
    )


def wider_phases(
    stands: Sequence[Stand], found: Sequence[Match], assembly: Assembly, pitch: float, every: float
) -> list[tuple[float, float]]:
    """Return more lattice positions (x, y) to try where the plain ones (`phases_of` on either axis) hold no fixture.

    Positions at which pads meet slanted faces, where those run along the lattice's diagonals (45 degrees, one in two, ...)
    and couple x with y; positions at which two pads meet a part at any other angle; and positions fixed along one axis only,
    or along none, for fixtures that adjust along the other.
    """
    plain, grid = phases_of(stands, found, pitch), sliding_phases(stands, found, pitch, every)
    centred = _centred(stands, found, assembly, pitch)
    xs, ys = (_distinct({*plain[axis], *grid[axis], *centred[axis]}) for axis in range(2))
    lines = _diagonals(stands, found, pitch)
    pairs = [(x, y) for x in xs for y in ys]
    for p, q, c in lines:
        pairs += [(x, ((c - p * x + k * pitch) / q) % pitch) for x in xs for k in range(abs(q))]
        pairs += [(((c - q * y + k * pitch) / p) % pitch, y) for y in ys for k in range(abs(p))]
    for one, (p, q, c) in enumerate(lines):
        for r, s, d in lines[one + 1 :]:
            det = p * s - q * r
            pairs += [
                (
                    ((s * (c + j * pitch) - q * (d + k * pitch)) / det) % pitch,
                    ((p * (d + k * pitch) - r * (c + j * pitch)) / det) % pitch,
                )
                for j in range(abs(det))
                for k in range(abs(det))
            ]
    pairs += _askew(stands, found, assembly, pitch)
    tried = {(round(x, 1), round(y, 1)) for x in plain[0] or grid[0] for y in plain[1] or grid[1]}
    fresh = {(round(x, 1) % pitch, round(y, 1) % pitch): (round(x, 6) % pitch, round(y, 6) % pitch) for x, y in pairs}
    return [pair for key, pair in sorted(fresh.items()) if key not in tried]


def _centred(stands: Sequence[Stand], found: Sequence[Match], assembly: Assembly, pitch: float) -> tuple[set[float], set[float]]:
    """Return positions at which pads that follow an open dimension stand in the middle of the settings that leave its range."""
    places: tuple[set[float], set[float]] = (set(), set())
    for dimension in assembly.weldment.open_dimensions:
        direction = assembly.rotation @ np.array(dimension.direction)
        for match in found:
            stand, pad = stands[match.stand], match.pad
            if stand.travel is None or not pad.moves or assembly.parts[match.face.part].id != dimension.part:
                continue
            along, low, high, step = stand.travel
            for axis in range(2):
                place = match.place(axis)
                if place is None or abs(float(along[axis])) < SLOPING or abs(float(pad.normal @ direction)) < SLOPING:
                    continue
                per_mm = float(pad.normal @ direction) / float(pad.normal @ along)
                ends = sorted((per_mm * dimension.low, per_mm * dimension.high))
                middle = (low - ends[0] + high - ends[1]) / 2
                setting = low + round((middle - low) / step) * step if step else middle
                places[axis].add(round((place - float(along[axis]) * setting) % pitch, 3) % pitch)
    return places


def _diagonals(stands: Sequence[Stand], found: Sequence[Match], pitch: float) -> list[tuple[int, int, float]]:
    """Return (p, q, c) of every slanted face a fixed pad meets from lattice positions with p x + q y = c (mod pitch)."""
    kept: list[tuple[int, int, float]] = []
    for match, level in _standing_still(stands, found):
        slope = _whole_slope(match.pad.normal[:2] / level)
        if slope is None:
            continue
        p, q, scale = slope
        c = round(float(match.pad.normal @ (match.face.origin - match.pad.at)) * scale / level % pitch, 6)
        if not any((p, q) == (r, s) and abs((c - d + pitch / 2) % pitch - pitch / 2) <= SAME_PHASE for r, s, d in kept):
            kept.append((p, q, c))
    return kept


def _standing_still(stands: Sequence[Stand], found: Sequence[Match]) -> Iterator[tuple[Match, float]]:
    """Yield the matches of locating pads that do not move and push sideways, each with the level length of its normal."""
    for match in found:
        stand, level = stands[match.stand], float(np.hypot(match.pad.normal[0], match.pad.normal[1]))
        if level > SLOPING and stand.push is None and (stand.travel is None or not match.pad.moves):
            yield match, level


def _askew(stands: Sequence[Stand], found: Sequence[Match], assembly: Assembly, pitch: float) -> list[tuple[float, float]]:
    """Return positions at which two pads that do not move meet a part whose faces run along no diagonal of the lattice.

    The third point is a pad that moves, or another part. One pad stands in hole (0, 0), the other in any hole from which
    both can meet their faces: n . p = c for the first, n' . (p + pitch h) = c' for the second.
    """
    standing = _standing_still(stands, found)
    third = {touch.part for touch in assembly.touches if touch.other >= 0}
    third |= {m.face.part for m in found if m.pad.moves and stands[m.stand].push is None and abs(m.pad.normal[2]) < 1 - SLOPING}
    still = [
        (match, level)
        for match, level in standing
        if match.face.part in third and _whole_slope(match.pad.normal[:2] / level) is None
    ]
    found_at: list[tuple[float, float]] = []
    for k, (one, level) in enumerate(still):
        for other, level_there in still[k + 1 :]:
            rows = np.array([one.pad.normal[:2] / level, other.pad.normal[:2] / level_there])
            if one.face.part != other.face.part or abs(float(np.linalg.det(rows))) < SLOPING:
                continue
            boxes = [match.face.corners()[:, :2] - match.pad.at[:2] for match in (one, other)]
            slack = [match.pad.width / 2 for match in (one, other)]
            low = np.floor((boxes[1].min(axis=0) - slack[1] - boxes[0].max(axis=0) - slack[0]) / pitch)
            high = np.ceil((boxes[1].max(axis=0) + slack[1] - boxes[0].min(axis=0) + slack[0]) / pitch)
            holes = np.stack(np.meshgrid(*(np.arange(a, b + 1) for a, b in zip(low, high, strict=True))), axis=-1).reshape(-1, 2)
            first = float(rows[0] @ boxes[0][0])
            second = float(rows[1] @ boxes[1][0]) - pitch * holes @ rows[1]
            at = np.linalg.solve(rows, np.stack([np.full(len(holes), first), second]))
            meets = _beside(at.T, rows[0], boxes[0], slack[0]) & _beside(at.T + pitch * holes, rows[1], boxes[1], slack[1])
            found_at += [(float(x) % pitch, float(y) % pitch) for x, y in at.T[meets]]
    every = max(1, math.ceil(len(found_at) / MOST_ASKEW))
    return found_at[::every]


def _beside(holes: Array, normal: Array, box: Array, slack: float) -> Flags:
    """Return from which holes (n, 2) a pad lies beside its face: its corners `box` (k, 2) less where the pad is."""
    across = np.array([-normal[1], normal[0]])
    along, ends = holes @ across, box @ across
    beside: Flags = (along > ends.min() - slack) & (along < ends.max() + slack)
    return beside


def _whole_slope(along: Array) -> tuple[int, int, float] | None:
    """Return small whole numbers (p, q) along a slanted level direction and their length, None if there are none."""
    for most in range(1, STEEPEST + 1):
        for p, q in ((most, k) for k in range(1, most + 1)):
            for u, v in ((p, q), (p, -q), (q, p), (q, -p)):
                length = math.hypot(u, v)
                for sign in (1, -1):
                    if float(np.hypot(along[0] - sign * u / length, along[1] - sign * v / length)) < 1e-6:
                        return sign * u, sign * v, length
    return None


def _distinct(values: set[float]) -> list[float]:
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > SAME_PHASE:
            kept.append(value)
    return kept


@dataclass(frozen=True)
class Seat:
    """Where on a table the lattice's hole (0, 0) of the lie frame lies, and the turn that is used there."""

    table: Table
    turn: float
    shift: Hole
    quarter: int

    def hole(self, hole: Hole) -> Hole:
        """Return the table's hole for one of the lie frame."""
        x, y = hole
        for _ in range(self.quarter):
            x, y = -y, x
        return x + self.shift[0], y + self.shift[1]


def usable_holes(table: Table, without: Without) -> Array:
    """Return which holes (columns, rows) of a table may be used."""
    usable = np.ones((table.columns, table.rows), dtype=bool)
    for column, row in table.blocked_holes:
        usable[column, row] = False
    for name, (column, row) in without.holes:
        if name in (None, table.id) and column < table.columns and row < table.rows:
            usable[column, row] = False
    return usable


def seat_on(table: Table, assembly: Assembly, lattice: Lattice, lie: Lie, without: Without) -> Seat | None:
    """Return the seat that leaves the most holes around the weldment, nearest to the table's middle; None if it does not fit."""
    best: tuple[float, float, int] | None = None
    chosen = None
    usable = usable_holes(table, without)
    for order, turn in enumerate(lie.same_turns):
        quarter = round(((turn - lie.turn) % 360.0) / 90.0)
        bounds = quartered(assembly.bounds[:, :2], quarter)
        phase = quartered(np.array([lattice.phase]), quarter)[0]
        limits = []
        for axis in range(2):
            room = table.size[axis]
            origin = table.first[axis] - phase[axis]
            low = math.ceil((0.0 - bounds[0, axis] - origin) / table.pitch - 1e-9)
            high = math.floor((room - bounds[1, axis] - origin) / table.pitch + 1e-9)
            limits.append(range(low, high + 1))
        shifts = np.array([(a, b) for a in limits[0] for b in limits[1]], dtype=float).reshape(-1, 2)
        moves = np.array(table.first) + table.pitch * shifts - phase
        away = ((moves + bounds.mean(axis=0) - np.array(table.size) / 2) ** 2).sum(axis=1)
        if not len(moves):
            continue
        lost = lost_holes(table, usable, bounds + moves[:, None, :])
        k = int(np.lexsort((away, lost))[0])
        score = (float(lost[k]), float(away[k]), order)
        if best is None or score < best:
            best, chosen = score, Seat(table, turn, (int(shifts[k, 0]), int(shifts[k, 1])), quarter)
    return chosen


def quartered(points: Array, quarter: int) -> Array:
    """Return level points turned by quarter turns; two corners stay lowest and highest."""
    moved = points @ turned(90.0 * quarter)[:2, :2].T
    return np.sort(moved, axis=0) if len(points) == 2 else moved


def lost_holes(table: Table, usable: Array, bounds: Array) -> Array:
    """Return how many holes within `MARGIN` of each of some bounds (n, 2, 2) are missing or may not be used, (n,)."""
    first, pitch = np.array(table.first), table.pitch
    low = np.ceil((bounds[:, 0] - MARGIN - first) / pitch).astype(int)
    high = np.floor((bounds[:, 1] + MARGIN - first) / pitch).astype(int) + 1
    so_far = np.zeros((table.columns + 1, table.rows + 1), dtype=int)
    so_far[1:, 1:] = usable.cumsum(axis=0).cumsum(axis=1)
    (a, b), (c, d) = np.clip(low, 0, [table.columns, table.rows]).T, np.clip(high, 0, [table.columns, table.rows]).T
    there: Array = so_far[c, d] - so_far[a, d] - so_far[c, b] + so_far[a, b]
    lost: Array = np.prod(high - low, axis=1) - there
    return lost


def off_table(sites: Sites, rows: Index, seat: Seat, usable: Array, edge: float) -> Flags:
    """Return which of some sites lack a usable hole for a peg, or stand with their bodies too far over the edge."""
    turn = turned(90.0 * seat.quarter)[:2, :2]
    holes = np.rint(sites.hole[rows] @ turn.T).astype(int) + np.array(seat.shift)
    size = np.array([seat.table.columns, seat.table.rows])
    pegs, bases = sites.footprints
    stand = sites.stand[rows]
    off = np.zeros(len(rows), dtype=bool)
    for peg in range(pegs.shape[1]):
        at = holes + np.rint(pegs[stand, peg] @ turn.T).astype(int)
        inside = ((at >= 0) & (at < size)).all(axis=1)
        at = np.clip(at, 0, size - 1)
        off |= ~inside | ~usable[at[:, 0], at[:, 1]]
    corners = np.sort(bases @ turn.T, axis=1)[stand]
    centres = np.array(seat.table.first) + seat.table.pitch * holes
    off |= (centres + corners[:, 0] < -edge).any(axis=1)
    off |= (centres + corners[:, 1] > np.array(seat.table.size) + edge).any(axis=1)
    return off
