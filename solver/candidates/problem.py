"""One pose's problem: every candidate that may stand, and what each helps with or keeps from happening."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.candidates.assembly import Assembly
from solver.candidates.blocking import TorchWays, conflicts, torch_blocks
from solver.candidates.floors import side_spacing, upright_round
from solver.candidates.placing import Candidate, Lattice
from solver.candidates.pressing import DOWN, THREAD, borne, served, tips
from solver.candidates.routes import Routes
from solver.candidates.screen import at_ends
from solver.candidates.sites import Sites
from solver.cost import PieceTimes
from solver.geometry.hulls import Flags, Hulls, joined
from solver.geometry.plan_view import off_patch
from solver.request import Request

LEVEL = 1e-6
AWAY = 0.05
"""A clamp whose push has more than this share along a locator's normal pushes the part off it."""


@dataclass(frozen=True)
class SidePoint:
    """A level contact of a part along one face direction: its span (mm, level), the candidate (None: a part), points."""

    candidate: int | None
    low: float
    high: float
    points: int


@dataclass(frozen=True)
class SideGroup:
    """All level contacts of one part with equal normal, and the spacing they need to serve as its side, mm.

    An upright round part has one group more: contacts all `around` it, whatever their normals (`normal` is 0); `needed` of
    them serve as its side and end at once.
    """

    part: int
    normal: Array
    spacing: float
    points: tuple[SidePoint, ...]
    needed: int = 2

    @property
    def around(self) -> bool:
        """Whether it holds contacts of all normals."""
        return not self.normal.any()


@dataclass(frozen=True)
class Against:
    """What a side clamp pushes its part against: locators, or an earlier part (`already`); and locators it pushes it off."""

    stops: frozenset[int]
    already: bool
    away: frozenset[int]


@dataclass(frozen=True)
class Problem:
    """Everything the model asks about one pose.

    Parameters
    ----------
    candidates : tuple of Candidate
        What may stand, indexed by position.
    torch : TorchWays
        Torch directions that parts and table leave free.
    shut, opened, under : Hulls
        The candidates' bodies, clamps shut; of clamps, open; and of what carries their top pieces.
    groups : tuple of SideGroup
        Level contacts by part and direction.
    supports : per part, list of (candidate, patch)
        Rests under the part.
    serving : per part, list of candidates
        Clamps whose line of force passes through the part.
    spare_kg : float or None
        What hardware may weigh on this table; None if nobody knows what the table bears.
    ends : Hulls or None
        The candidates' bodies at both ends of every open dimension: no two may meet there, wherever they are set.
    """

    request: Request
    stock: StockSnapshot
    assembly: Assembly
    lattice: Lattice
    candidates: tuple[Candidate, ...]
    torch: TorchWays
    shut: Hulls
    opened: Hulls
    under: Hulls
    groups: tuple[SideGroup, ...]
    supports: tuple[tuple[tuple[int, Array], ...], ...]
    serving: tuple[tuple[int, ...], ...]
    over: dict[int, tuple[frozenset[int], ...]]
    against: dict[int, Against]
    times: Mapping[int, PieceTimes]
    spare_kg: float | None = None
    ends: Hulls | None = None

    @cached_property
    def pieces(self) -> list[Counter[str]]:
        """Pieces of each item a candidate takes."""
        return [candidate.stand.pieces for candidate in self.candidates]

    @cached_property
    def conflicts(self) -> frozenset[tuple[int, int]]:
        """Pairs (i < j) of candidates that cannot both stand."""
        opened = joined([self.opened, self.ends]) if self.ends is not None else self.opened
        return frozenset(conflicts(self.candidates, self.shut, opened, self.assembly.rules["clear.body"]))

    @cached_property
    def neighbours(self) -> list[int]:
        """Return for each candidate the set of those it cannot stand with: a whole number, one bit a candidate."""
        found = [0] * len(self.candidates)
        for i, j in self.conflicts:
            found[i] |= 1 << j
            found[j] |= 1 << i
        return found

    @cached_property
    def reach(self) -> tuple[tuple[int, tuple[frozenset[int], ...]], ...]:
        """Per weld sample that something could block: its weld's index, and for each torch direction what candidates shut it."""
        return _torch_rows(self.torch, self.shut)

    @cached_property
    def standing(self) -> Hulls:
        """The candidates' bodies with clamps open."""
        moves = np.array([len(candidate.stand.opened) > 0 for candidate in self.candidates], dtype=bool)
        return joined([self.shut.take(~moves[self.shut.owner]), self.opened]) if len(self.shut) else self.shut

    @cached_property
    def routes(self) -> Routes:
        """The ways in of every part and the way out of the weldment, with what stands in them."""
        return Routes(self.assembly, self.candidates, self.standing, self.under, self.times)


def build(
    request: Request,
    stock: StockSnapshot,
    assembly: Assembly,
    sites: Sites,
    torch: TorchWays,
    times: Mapping[int, PieceTimes],
    table: Table | None = None,
) -> Problem:
    """Return the problem of one pose on a table from the screened sites of its lattice."""
    serving, bearing = served(sites, assembly), borne(sites, assembly)
    rests = _rests(sites, assembly)
    over: dict[int, tuple[frozenset[int], ...]] = {}
    idle = np.zeros(len(sites), dtype=bool)
    at = tips(sites)
    for row in np.flatnonzero((serving & ~bearing).any(axis=1)).tolist():
        over[row] = tuple(
            _under(at[row, :2], rests[part], assembly) for part in np.flatnonzero(serving[row] & ~bearing[row]).tolist()
        )
        idle[row] = any(not found for found in over[row])
    if idle.any():
        return build(request, stock, assembly, sites.where(~idle), torch, times, table)
    lattice = sites.lattices[int(sites.lattice[0])] if len(sites) else sites.lattices[0]
    candidates = sites.candidates(int(sites.lattice[0])) if len(sites) else []
    parts = range(len(assembly.parts))
    return Problem(
        request, stock, assembly, lattice, tuple(candidates), torch, sites.bodies(), sites.bodies(opened=True),
        sites.bodies(carriers=True),
        tuple(_groups(candidates, assembly)),
        tuple(tuple(rests[part]) for part in parts),
        tuple(tuple(np.flatnonzero(serving[:, part]).tolist()) for part in parts),
        over,
        _against(candidates, serving, assembly),
        times,
        None if table is None else spare_kg(table, assembly),
        joined([moved.bodies() for moved, _ in at_ends(sites, assembly)]) if assembly.weldment.open_dimensions else None,
    )  # fmt: skip


def spare_kg(table: Table, assembly: Assembly) -> float | None:
    """Return what hardware may weigh on a table that carries the parts, kg; None if nobody knows what the table bears."""
    return None if table.max_load_kg is None else table.max_load_kg - sum(part.mass for part in assembly.parts)


def _rests(sites: Sites, assembly: Assembly) -> list[list[tuple[int, Array]]]:
    """Return per part the locators under it, with their patches."""
    found: list[list[tuple[int, Array]]] = [[] for _ in assembly.parts]
    m = sites.meetings
    for k in np.flatnonzero(~sites.clamping[m.site] & (m.normal[:, 2] > 0.5)).tolist():
        found[int(m.part[k])].append((int(m.site[k]), m.patch(k)))
    return found


def _under(tip: Array, rests: Sequence[tuple[int, Array]], assembly: Assembly) -> frozenset[int]:
    """Return the rests that bear a line of force near a point, mm."""
    reach = assembly.rules["clamp.over_support"] - THREAD
    return frozenset(index for index, patch in rests if float(off_patch(patch, tip[None, :])[0]) <= reach)


def _torch_rows(torch: TorchWays, shut: Hulls) -> tuple[tuple[int, tuple[frozenset[int], ...]], ...]:
    """Return per sample its weld and its directions' blockers.

    Directions blocked more than another, samples never blocked, and those reached whenever another one is drop out.
    """
    blockers = [0] * len(torch.sample)
    for way, candidate in torch_blocks(torch, shut):
        blockers[way] |= 1 << candidate
    rows: dict[tuple[int, ...], int] = {}
    for sample, place in enumerate(torch.samples):
        least: list[int] = []
        for entry in sorted({blockers[way] for way in np.flatnonzero(torch.sample == sample)}, key=lambda e: (e.bit_count(), e)):
            if not any(other & ~entry == 0 for other in least):
                least.append(entry)
        if least and least[0]:
            rows.setdefault(tuple(least), place.weld)
    kept = [row for row in sorted(rows) if not any(other != row and _harder(other, row) for other in rows)]
    return tuple((rows[row], tuple(_members(entry) for entry in row)) for row in kept)


def _harder(one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    """Return whether a sample that can be reached under `one` can surely be reached under `other`."""
    return all(any(theirs & ~mine == 0 for theirs in other) for mine in one)


def _members(mask: int) -> frozenset[int]:
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length() - 1)
        mask ^= low
    return frozenset(found)


def _against(candidates: Sequence[Candidate], serving: Flags, assembly: Assembly) -> dict[int, Against]:
    """Return for each side clamp what it pushes its part against, and what it would push its parts off."""
    rows = [(k, m.part, m.normal) for k, candidate in enumerate(candidates) if not candidate.clamp for m in candidate.meetings]
    owner = np.array([k for k, _, _ in rows], dtype=np.intp)
    part = np.array([p for _, p, _ in rows], dtype=np.intp)
    normal = np.array([n for _, _, n in rows]).reshape(-1, 3)
    found = {}
    for index, candidate in enumerate(candidates):
        push = candidate.stand.push
        if push is None or push[2] < DOWN:
            continue
        own = candidate.meetings[0].part
        along = normal @ push
        stops = frozenset(owner[(part == own) & (along < -0.5)].tolist())
        away = frozenset(owner[np.isin(part, np.flatnonzero(serving[index])) & (along > AWAY)].tolist())
        already = any(float(touch.normal @ push) < -0.5 for touch in assembly.touches_of(own))
        found[index] = Against(stops, already, away)
    return found


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
                count = 2 if high - low > 1.0 else 1
                found.setdefault(_key(part.index, touch.normal), []).append(SidePoint(None, low, high, count))
    groups = []
    for (part_index, key), points in sorted(found.items()):
        normal = np.array([*key, 0.0])
        normal /= np.linalg.norm(normal)
        spacing = side_spacing(assembly, assembly.parts[part_index], normal)
        groups.append(SideGroup(part_index, normal, spacing, tuple(points)))
    for part in assembly.parts:
        points = [point for group in groups if group.part == part.index for point in group.points]
        if upright_round(part) and points:
            groups.append(SideGroup(part.index, np.zeros(3), 0.0, tuple(points), needed=3))
    return groups


def _key(part: int, normal: Array) -> tuple[int, tuple[float, float]]:
    return part, (round(float(normal[0]), 4) + 0.0, round(float(normal[1]), 4) + 0.0)


def _span(patch: Array, normal: Array) -> tuple[float, float]:
    along = patch @ np.array([-normal[1], normal[0], 0.0])
    return float(along.min()), float(along.max())
