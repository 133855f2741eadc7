"""One pose's problem: every candidate that may stand, and what each helps with or keeps from happening."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from solver.candidates.assembly import Assembly, HeldPart
from solver.candidates.blocking import TorchWays, Way, conflicts, torch_blocks, way_blocks
from solver.candidates.placing import Candidate, Lattice, Meeting, bodies
from solver.geometry.faces import areas, hull_of
from solver.geometry.hulls import Hulls, box_pairs, joined, near
from solver.request import Request

LEVEL = 1e-6
PARALLEL = 1e-4
THREAD = 0.01
AROUND = 0.5 * np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])


@dataclass(frozen=True)
class SidePoint:
    """A level contact of a part along one face direction: its span (mm, level), the candidate (None: a part), points."""

    candidate: int | None
    low: float
    high: float
    points: int


@dataclass(frozen=True)
class SideGroup:
    """All level contacts of one part with equal normal, and the spacing they need to serve as its side, mm."""

    part: int
    normal: Array
    spacing: float
    points: tuple[SidePoint, ...]


@dataclass(frozen=True)
class Problem:
    """Everything the model asks about one pose.

    Parameters
    ----------
    candidates : tuple of Candidate
        What may stand, indexed by position.
    conflicts : set of (i, j)
        Pairs that cannot both stand.
    torch : tuple of tuples of frozensets
        Per weld sample that something could block: for each torch direction, the candidates that shut it.
    ways_in, ways_out : per part / for the weldment
        Options (way, blockers).
    groups : tuple of SideGroup
        Level contacts by part and direction.
    supports : per part, list of (candidate, patch)
        Rests under the part.
    serving : per part, list of candidates
        Clamps whose line of force passes through the part.
    """

    request: Request
    stock: StockSnapshot
    assembly: Assembly
    lattice: Lattice
    candidates: tuple[Candidate, ...]
    conflicts: frozenset[tuple[int, int]]
    torch: tuple[tuple[frozenset[int], ...], ...]
    ways_in: tuple[tuple[tuple[Way, frozenset[int]], ...], ...]
    ways_out: tuple[tuple[Way, frozenset[int]], ...]
    groups: tuple[SideGroup, ...]
    supports: tuple[tuple[tuple[int, Meeting], ...], ...]
    serving: tuple[tuple[int, ...], ...]
    over: dict[int, tuple[frozenset[int], ...]]
    against: dict[int, tuple[frozenset[int], bool]]

    @cached_property
    def pieces(self) -> list[Counter[str]]:
        """Pieces of each item a candidate takes."""
        return [candidate.stand.pieces for candidate in self.candidates]

    def clamps_needed(self, part: HeldPart) -> int:
        """How many clamps a part needs by its length."""
        longest = part.part.length
        if part.part.section.shape == "plate":
            points = part.hulls.points
            local = (points - part.frame[:3, 3]) @ part.frame[:3, :3]
            longest = float(np.ptp(local, axis=0).max())
        return max(1, math.ceil(longest / self.assembly.rules["clamp.per_length"] - 1e-9))


def build(
    request: Request,
    stock: StockSnapshot,
    assembly: Assembly,
    lattice: Lattice,
    candidates: Sequence[Candidate],
    torch: TorchWays,
    ways: Sequence[Way],
) -> Problem:
    """Return the problem of one pose from its screened candidates."""
    served = _served(candidates, assembly)
    supports = _supports(candidates, assembly)
    over = {index: _over_support(candidate, served[index], supports, assembly) for index, candidate in enumerate(candidates) if candidate.clamp}
    fit = [index for index, candidate in enumerate(candidates) if _presses_well(candidate, over.get(index), assembly)]
    if len(fit) < len(candidates):
        return build(request, stock, assembly, lattice, [candidates[k] for k in fit], torch, ways)
    shut, opened = bodies(candidates), bodies(candidates, opened=True)
    standing = joined([shut.take(~_has_open_state(candidates)[shut.owner]), opened]) if len(shut) else shut
    parts = range(len(assembly.parts))
    ways_in = tuple(tuple(_options([part], ways, assembly, candidates, standing, assembly.before(part))) for part in parts)
    return Problem(
        request, stock, assembly, lattice, tuple(candidates),
        frozenset(conflicts(candidates, shut, opened, assembly.rules["clear.body"])),
        _torch_rows(torch, shut),
        ways_in,
        tuple(_options(list(parts), ways, assembly, candidates, standing, ())),
        tuple(_groups(candidates, assembly)),
        supports,
        tuple(tuple(index for index in range(len(candidates)) if part in served.get(index, ())) for part in parts),
        over,
        {index: _against(index, candidates, served[index], assembly) for index in over if candidates[index].meetings[0].level},
    )  # fmt: skip


def _has_open_state(candidates: Sequence[Candidate]) -> Array:
    return np.array([len(candidate.stand.opened) > 0 for candidate in candidates], dtype=bool)


def _options(
    movers: Sequence[int], ways: Sequence[Way], assembly: Assembly, candidates: Sequence[Candidate], standing: Hulls, present: Sequence[int]
) -> list[tuple[Way, frozenset[int]]]:
    """Return the ways these parts can go with the other parts present, each with the candidates in its way.

    A way that nothing blocks makes the others needless.
    """
    options: list[tuple[Way, frozenset[int]]] = []
    for way in ways:
        if present and not _parts_let_pass(movers, way, assembly, present):
            continue
        blockers = frozenset(way_blocks(movers, way, assembly, candidates, standing))
        if any(other <= blockers for _, other in options):
            continue
        options.append((way, blockers))
        if not blockers:
            break
    return options


def _parts_let_pass(movers: Sequence[int], way: Way, assembly: Assembly, present: Sequence[int]) -> bool:
    clear, start = assembly.rules["way.clear"], np.zeros(3)
    for mover in movers:
        for other in present:
            normals = [t.normal for t in assembly.touches if (t.part, t.other) == (mover, other)]
            ease = 0.15 * sum(normals, np.zeros(3))
            gap = 0.02 if normals else clear
            for move in way.moves:
                swept = assembly.parts[mover].exact.shifted(ease + start).swept(move)
                i, j = box_pairs(swept.boxes, assembly.parts[other].exact.boxes, gap)
                if near(swept, i, assembly.parts[other].exact, j, gap).any():
                    return False
                start = start + move
            start = np.zeros(3)
    return True


def _torch_rows(torch: TorchWays, shut: Hulls) -> tuple[tuple[frozenset[int], ...], ...]:
    """Return per sample its directions' blockers; directions blocked more than another, and samples never blocked, drop out."""
    blockers: list[set[int]] = [set() for _ in torch.sample]
    for way, candidate in torch_blocks(torch, shut):
        blockers[way].add(candidate)
    rows = set()
    for sample in range(len(torch.samples)):
        sets = sorted({frozenset(blockers[way]) for way in np.flatnonzero(torch.sample == sample)}, key=lambda s: (len(s), sorted(s)))
        least: list[frozenset[int]] = []
        for entry in sets:
            if not any(other <= entry for other in least):
                least.append(entry)
        if least and least[0]:
            rows.add(tuple(least))
    return tuple(sorted(rows, key=lambda row: [sorted(entry) for entry in row]))


def _served(candidates: Sequence[Candidate], assembly: Assembly) -> dict[int, frozenset[int]]:
    """Return for each clamp the parts its line of force passes through."""
    lines, owners = [], []
    for index, candidate in enumerate(candidates):
        if candidate.clamp:
            tip, push = candidate.meetings[0].at, candidate.stand.push
            assert push is not None
            for offset in _around(push):
                lines.append(np.array([tip, tip + 20000.0 * push]) + offset)
                owners.append(index)
    hulls = Hulls.of(lines, owners)
    parts = joined([part.exact for part in assembly.parts])
    i, j = box_pairs(hulls.boxes, parts.boxes, THREAD)
    hit = near(hulls, i, parts, j, THREAD)
    passed: dict[tuple[int, int], set[int]] = {}
    for line, part in zip(i[hit].tolist(), parts.owner[j[hit]].tolist(), strict=True):
        passed.setdefault((int(hulls.owner[line]), part), set()).add(line)
    served: dict[int, set[int]] = {index: set(candidates[index].parts) for index in owners}
    for (index, part), found in passed.items():
        if len(found) == len(AROUND):
            served[index].add(part)
    return {index: frozenset(found) for index, found in served.items()}


def _around(push: Array) -> Array:
    """Return four small offsets square to a push: a line of force passes through a part if all four beside it do."""
    first = np.cross(push, [0.0, 0.0, 1.0] if abs(push[2]) < 0.9 else [1.0, 0.0, 0.0])
    first /= np.linalg.norm(first)
    return AROUND @ np.stack([first, np.cross(push, first)])


def _supports(candidates: Sequence[Candidate], assembly: Assembly) -> tuple[tuple[tuple[int, Meeting], ...], ...]:
    found: list[list[tuple[int, Meeting]]] = [[] for _ in assembly.parts]
    for index, candidate in enumerate(candidates):
        for meeting in candidate.meetings:
            if not candidate.clamp and float(meeting.normal[2]) > 0.5:
                found[meeting.part].append((index, meeting))
    return tuple(tuple(entries) for entries in found)


def _over_support(
    candidate: Candidate, served: frozenset[int], supports: Sequence[Sequence[tuple[int, Meeting]]], assembly: Assembly
) -> tuple[frozenset[int], ...]:
    """Return, for each part a down clamp presses through that table or parts do not carry there, the rests that would."""
    push = candidate.stand.push
    if push is None or push[2] > -0.5:
        return ()
    tip, reach = candidate.meetings[0].at[:2], assembly.rules["clamp.over_support"] - THREAD
    needed = []
    for part in sorted(served):
        if any(touch.normal[2] > 0.5 and _level_gap(touch.patch, tip) <= reach for touch in assembly.touches_of(part)):
            continue
        needed.append(frozenset(index for index, meeting in supports[part] if _level_gap(meeting.patch, tip) <= reach))
    return tuple(needed)


def _level_gap(patch: Array, point: Array) -> float:
    """Return the level distance of a point from a patch, mm."""
    from shapely.geometry import Point

    return float(hull_of(patch[:, :2]).distance(Point(point)))


def _presses_well(candidate: Candidate, over: tuple[frozenset[int], ...] | None, assembly: Assembly) -> bool:
    """Return whether a clamp presses over supports there can be, and not harder than the part may bear."""
    if not candidate.clamp or candidate.stand.top.clamp is None:
        return True
    if any(not rests for rests in over or ()):
        return False
    meeting = candidate.meetings[0]
    part = assembly.parts[meeting.part].part
    area = float(areas([meeting.patch])[0])
    if len(meeting.patch) == 2:
        return True
    allowed = assembly.rules["clamp.max_part_pressure"] * assembly.rules[f"material.{part.material}_yield_mpa"]
    return candidate.stand.top.clamp.force_n <= allowed * area


def _against(
    index: int, candidates: Sequence[Candidate], served: frozenset[int], assembly: Assembly
) -> tuple[frozenset[int], bool]:
    """Return the locators a side clamp pushes its part against, and whether an earlier part stands against it already."""
    push = candidates[index].stand.push
    assert push is not None
    part = candidates[index].meetings[0].part
    locators = frozenset(
        other
        for other, candidate in enumerate(candidates)
        if not candidate.clamp and any(m.part == part and float(m.normal @ push) < -0.5 for m in candidate.meetings)
    )
    return locators, any(float(touch.normal @ push) < -0.5 for touch in assembly.touches_of(part))


def _groups(candidates: Sequence[Candidate], assembly: Assembly) -> list[SideGroup]:
    """Return each part's level contacts by direction, with the spacing asked of its side."""
    found: dict[tuple[int, tuple[float, float]], list[SidePoint]] = {}
    for index, candidate in enumerate(candidates):
        if candidate.clamp:
            continue
        for meeting in candidate.meetings:
            across = meeting.sideways
            if across is not None:
                low, high = _span(meeting.patch, across)
                found.setdefault(_key(meeting.part, across), []).append(SidePoint(index, low, high, 1))
    for part in assembly.parts:
        for touch in assembly.touches_of(part.index):
            if abs(float(touch.normal[2])) < LEVEL:
                low, high = _span(touch.patch, touch.normal)
                points = 2 if high - low > 1.0 else 1
                found.setdefault(_key(part.index, touch.normal), []).append(SidePoint(None, low, high, points))
    ratio, most = assembly.rules["locate.side_spacing_ratio"], assembly.rules["locate.side_spacing_max"]
    groups = []
    for (part_index, key), points in sorted(found.items()):
        normal = np.array([*key, 0.0])
        normal /= np.linalg.norm(normal)
        part = assembly.parts[part_index]
        low, high = part.extent(np.array([-normal[1], normal[0], 0.0]))
        upright = part.part.section.round and abs(float(part.frame[2, 2])) > 1 - LEVEL
        groups.append(SideGroup(part_index, normal, 0.0 if upright else min(ratio * (high - low), most), tuple(points)))
    return groups


def _key(part: int, normal: Array) -> tuple[int, tuple[float, float]]:
    return part, (round(float(normal[0]), 4) + 0.0, round(float(normal[1]), 4) + 0.0)


def _span(patch: Array, normal: Array) -> tuple[float, float]:
    along = patch @ np.array([-normal[1], normal[0], 0.0])
    return float(along.min()), float(along.max())
