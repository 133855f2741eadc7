"""Stands in holes by the thousand: every way a set of lattices lets pads meet faces, as arrays.

Objects are made only of the sites that survive screening, and only for lattices worth a model.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.candidates.placing import LEAST_PATCH, Candidate, Lattice, Match, Meeting, holes_for
from solver.candidates.stands import Stand
from solver.geometry.faces import pad_patches
from solver.geometry.hulls import Flags, Hulls, Index


@dataclass(frozen=True)
class Meetings:
    """Pads against faces, one row each: site, match (index), locating point (m, 3), normal (m, 3), patches."""

    site: Index
    match: Index
    part: Index
    at: Array
    normal: Array
    patch: list[Array]


@dataclass(frozen=True)
class Sites:
    """Stands in holes, one row each: lattice, stand (indices), hole (n, 2), origin (n, 3), setting (n,), travel (n, 3)."""

    stands: Sequence[Stand]
    matches: Sequence[Match]
    lattices: Sequence[Lattice]
    lattice: Index
    stand: Index
    hole: Index
    origin: Array
    setting: Array
    meetings: Meetings

    def __len__(self) -> int:
        return len(self.lattice)

    @cached_property
    def travel(self) -> Array:
        """How far each site's moving solids stand from setting 0, (n, 3)."""
        axes = np.array([s.travel[0] if s.travel is not None else np.zeros(3) for s in self.stands]).reshape(-1, 3)
        travel: Array = axes[self.stand] * self.setting[:, None]
        return travel

    @cached_property
    def clamping(self) -> Flags:
        """Which sites clamp."""
        return np.array([stand.push is not None for stand in self.stands], dtype=bool)[self.stand]

    def where(self, kept: Flags) -> Sites:
        """Return only the kept sites and their meetings."""
        number = np.cumsum(kept) - 1
        rows = np.flatnonzero(kept[self.meetings.site])
        m = self.meetings
        meetings = Meetings(
            number[m.site[rows]], m.match[rows], m.part[rows], m.at[rows], m.normal[rows], [m.patch[k] for k in rows.tolist()]
        )
        return Sites(
            self.stands, self.matches, self.lattices, self.lattice[kept], self.stand[kept], self.hole[kept], self.origin[kept],
            self.setting[kept], meetings,
        )  # fmt: skip

    def bodies(self, *, opened: bool = False, carriers: bool = False) -> Hulls:
        """Return the sites' solids, owner = site: clamps shut, or only clamps `opened`, or only what carries top pieces."""
        points, counts, owners = [], [], []
        for index, stand in enumerate(self.stands):
            rows = np.flatnonzero(self.stand == index)
            if not len(rows):
                continue
            if opened:
                groups = [(stand.opened, self.origin[rows])]
            elif carriers:
                groups = [(stand.still.take(stand.still.owner < len(stand.levels) - 1), self.origin[rows])]
            else:
                groups = [(stand.still, self.origin[rows]), (stand.moving, self.origin[rows] + self.travel[rows])]
            for hulls, at in groups:
                if len(hulls):
                    points.append((hulls.points[None, :, :] + at[:, None, :]).reshape(-1, 3))
                    counts.append(np.tile(hulls.count, len(rows)))
                    owners.append(np.repeat(rows, len(hulls)))
        if not points:
            return Hulls.of([], [])
        count = np.concatenate(counts)
        return Hulls(np.concatenate(points), np.cumsum(count) - count, count, np.concatenate(owners))

    def candidates(self, lattice: int) -> list[Candidate]:
        """Return the sites of one lattice as candidates."""
        rows = np.flatnonzero(self.lattice == lattice)
        met: dict[int, list[Meeting]] = {int(row): [] for row in rows}
        m = self.meetings
        for k in np.flatnonzero(self.lattice[m.site] == lattice).tolist():
            face = self.matches[int(m.match[k])].face
            met[int(m.site[k])].append(Meeting(face.part, face.label, m.at[k], m.normal[k], m.patch[k]))
        found = []
        for row in rows.tolist():
            stand = self.stands[int(self.stand[row])]
            setting = None if stand.travel is None else float(self.setting[row])
            hole = (int(self.hole[row, 0]), int(self.hole[row, 1]))
            found.append(Candidate(stand, hole, self.origin[row], setting, tuple(met[row])))
        return found


def sites_on(stands: Sequence[Stand], found: Sequence[Match], lattices: Sequence[Lattice], along: int) -> Sites:
    """Return the sites on the lattices (of one pitch): a stand in a hole at a setting with all the faces its pads meet.

    Along one face a stand is tried in at most `along` holes of a lattice.
    """
    rows: list[tuple[Array, ...]] = []
    patches: list[Array] = []
    pitch = lattices[0].pitch
    phases = np.array([lattice.phase for lattice in lattices])
    flush = _flush(found)
    for number, match in enumerate(found):
        stand = stands[match.stand]
        which, holes, settings = holes_for(stand, match, lattices)
        if len(stand.pads) == 1 and number not in flush:
            some = _spaced(which, along)
            which, holes, settings = which[some], holes[some], settings[some]
        if not len(which):
            continue
        centres = np.zeros((len(which), 3)) + match.pad.at
        centres[:, :2] += phases[which] + pitch * holes
        if stand.travel is not None and match.pad.moves:
            centres += settings[:, None] * stand.travel[0]
        size = (match.pad.width, match.pad.height)
        met = pad_patches(
            match.face, centres, (match.pad.across, match.pad.upward), size, LEAST_PATCH, centred=stand.push is not None
        )
        p = met.pads
        patches += met.patches
        many = np.ones(len(p))
        rows.append(
            (
                which[p].astype(float),
                many * match.stand,
                holes[p, 0],
                holes[p, 1],
                np.round(settings[p], 6),
                many * number,
                *met.points.T,
            )
        )
    if not rows:
        empty = np.zeros(0, dtype=np.intp)
        none = Meetings(empty, empty, empty, np.zeros((0, 3)), np.zeros((0, 3)), [])
        return Sites(stands, found, lattices, empty, empty, np.zeros((0, 2), np.intp), np.zeros((0, 3)), np.zeros(0), none)
    table = np.stack([np.concatenate(column) for column in zip(*rows, strict=True)], axis=1)
    keys, site = np.unique(table[:, :5], axis=0, return_inverse=True)
    lattice, hole = keys[:, 0].astype(np.intp), keys[:, 2:4].astype(np.intp)
    origin = np.zeros((len(keys), 3))
    origin[:, :2] = phases[lattice] + pitch * hole
    number_of = table[:, 5].astype(np.intp)
    order = np.lexsort((number_of, site))
    meetings = Meetings(
        site[order].astype(np.intp), number_of[order], np.array([m.face.part for m in found], dtype=np.intp)[number_of[order]],
        table[order, 6:9], np.array([m.pad.normal for m in found])[number_of[order]], [patches[k] for k in order.tolist()],
    )  # fmt: skip
    return Sites(stands, found, lattices, lattice, keys[:, 1].astype(np.intp), hole, origin, keys[:, 4], meetings)


def _flush(found: Sequence[Match]) -> frozenset[int]:
    """Return the matches of pads that meet faces of several parts in one plane: their holes must stay together."""
    planes: dict[tuple[int, int, float], list[int]] = {}
    for number, match in enumerate(found):
        height = round(float(match.pad.normal @ match.face.origin), 1)
        planes.setdefault((match.stand, match.pad_index, height), []).append(number)
    return frozenset(number for numbers in planes.values() if len(numbers) > 1 for number in numbers)


def _spaced(which: Index, most: int) -> Index:
    """Return rows that keep of each lattice's holes at most `most`, evenly spaced; `which` names each row's lattice, sorted."""
    first = np.searchsorted(which, which)
    rank = np.arange(len(which)) - first
    size = np.searchsorted(which, which, side="right") - first
    share = np.minimum(most, size)
    return np.flatnonzero((rank == 0) | (rank * share // size != (rank - 1) * share // size))


ALONG = 24
"""Holes tried of a stand along a face; of more, evenly spaced ones are tried."""
MANY_PER_PART = 160
"""Sites a model takes for each part; of more, evenly spaced ones are kept."""
FEWEST = 5
"""Holes kept of a stand along a face, at least."""


def thinned(sites: Sites, parts: int) -> Sites:
    """Return the sites of one lattice, or of too many for a weldment of so many parts only some.

    Where a stand meets the same faces from many holes, evenly spaced ones are kept, first and last among them.
    """
    many = max(400, MANY_PER_PART * parts)
    if len(sites) <= many:
        return sites
    groups: dict[tuple[int, tuple[int, ...]], list[int]] = {}
    met: dict[int, list[int]] = {}
    for site, match in zip(sites.meetings.site.tolist(), sites.meetings.match.tolist(), strict=True):
        met.setdefault(site, []).append(match)
    for site in range(len(sites)):
        groups.setdefault((int(sites.stand[site]), tuple(met[site])), []).append(site)
    most = max(len(rows) for rows in groups.values())
    while most > FEWEST and sum(min(len(rows), most) for rows in groups.values()) > many:
        most -= 1
    kept = np.zeros(len(sites), dtype=bool)
    for rows in groups.values():
        spread = np.unique(np.rint(np.linspace(0, len(rows) - 1, min(most, len(rows)))).astype(int))
        kept[np.array(rows)[spread]] = True
    return sites.where(kept)
