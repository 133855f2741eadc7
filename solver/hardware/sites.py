"""Sites: stacks in holes by the thousand, wherever a set of lattices lets pads meet faces, as arrays.

Objects are made only of the sites that survive screening, and only for lattices worth a model.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.hulls import Flags, Hulls, Index, joined
from solver.geometry.tolerances import CARRIES, SLOPING
from solver.hardware.candidates import Candidate, Lattice, Meeting
from solver.hardware.matching import Match
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.stacks import Stack
from solver.hardware.travel import Travels
from solver.ledgers.names import Names, mixed, names_of, together


@dataclass(frozen=True)
class Meetings:
    """Pads against faces, one row each: site, match (index), locating point (m, 3), normal (m, 3), convex patches."""

    site: Index
    match: Index
    part: Index
    at: Array
    normal: Array
    patches: Hulls

    def take(self, rows: Index, site: Index) -> Meetings:
        """Return only some rows, their sites numbered anew."""
        return Meetings(site, self.match[rows], self.part[rows], self.at[rows], self.normal[rows], self.patches.take(rows))

    def patch(self, row: int) -> Array:
        """Return a row's patch (k, 3)."""
        first = self.patches.first[row]
        return self.patches.points[first : first + self.patches.count[row]]

    def spans(self, rows: Index, along: Array) -> Array:
        """Return from where to where some rows' patches reach along a direction (3,), (n, 2), mm."""
        if not len(rows):
            return np.zeros((0, 2))
        own = self.patches.take(rows)
        place = own.points[:, 0] * along[0] + own.points[:, 1] * along[1] + own.points[:, 2] * along[2]
        return np.stack([np.minimum.reduceat(place, own.first), np.maximum.reduceat(place, own.first)], axis=1)


@dataclass(frozen=True)
class Sites:
    """Stacks in holes, one row each: lattice and stack (indices), hole (n, 2), the hole's centre (n, 3), setting (n,)."""

    stacks: Sequence[Stack]
    matches: Sequence[Match]
    lattices: Sequence[Lattice]
    lattice: Index
    stack: Index
    hole: Index
    origin: Array
    setting: Array
    meetings: Meetings

    def __len__(self) -> int:
        return len(self.lattice)

    @cached_property
    def travels(self) -> Travels:
        """How every stack's pads or tip move with its setting."""
        return Travels.of([stack.travel for stack in self.stacks])

    @cached_property
    def displacement(self) -> Array:
        """How far each site's moving solids stand from setting 0, (n, 3)."""
        moved: Array = self.travels.axis[self.stack] * self.setting[:, None]
        return moved

    @cached_property
    def clamping(self) -> Flags:
        """Which sites clamp."""
        return np.array([stack.push is not None for stack in self.stacks], dtype=bool)[self.stack]

    @cached_property
    def names(self) -> Names:
        """Names that stand for each site's bodies, place, setting and the faces its pads meet, (n, 2)."""
        stacks, own = np.unique(self.stack, return_inverse=True)
        found = names_of([self.stacks[stack].content for stack in stacks.tolist()])[own]
        found = mixed(found, self.origin[:, 0], self.origin[:, 1], self.setting)
        pads, row = np.unique(self.meetings.match, return_inverse=True)
        met = names_of([self.matches[match].content for match in pads.tolist()])[row]
        return mixed(found, together(met, self.meetings.site, len(self)))

    @cached_property
    def faces_met(self) -> Index:
        """How many faces each site's pads meet, (n,)."""
        return np.bincount(self.meetings.site, minlength=len(self)).clip(1)

    @cached_property
    def needs_met(self) -> Index:
        """How many needs each site's pads meet, (n,): a face each, and one more for a flank that carries and locates."""
        m = self.meetings
        flanks = (m.normal[:, 2] > CARRIES) & (np.hypot(m.normal[:, 0], m.normal[:, 1]) > SLOPING)
        return self.faces_met + np.bincount(m.site[flanks], minlength=len(self))

    @cached_property
    def footprints(self) -> tuple[Array, Array]:
        """Every stack's pegs (s, most, 2), the first again where there are fewer, and its still bodies' level bounds."""
        most = max((len(stack.pegs) for stack in self.stacks), default=1)
        pegs = [[*stack.pegs, *([stack.pegs[0]] * (most - len(stack.pegs)))] for stack in self.stacks]
        still = [stack.still.points[:, :2] for stack in self.stacks]
        bases = np.array([[points.min(axis=0), points.max(axis=0)] for points in still]).reshape(-1, 2, 2)
        return np.array(pegs, dtype=float).reshape(-1, most, 2), bases

    def where(self, kept: Flags) -> Sites:
        """Return only the kept sites and their meetings."""
        number = np.cumsum(kept) - 1
        rows = np.flatnonzero(kept[self.meetings.site])
        meetings = self.meetings.take(rows, number[self.meetings.site[rows]])
        found = Sites(
            self.stacks, self.matches, self.lattices, self.lattice[kept], self.stack[kept], self.hole[kept], self.origin[kept],
            self.setting[kept], meetings,
        )  # fmt: skip
        if "names" in self.__dict__:
            found.__dict__["names"] = self.names[kept]
        return found

    def at(self, rows: Index) -> Sites:
        """Return some of the sites, given by their rows in order; themselves if it is all of them."""
        if len(rows) == len(self):
            return self
        kept = np.zeros(len(self), dtype=bool)
        kept[rows] = True
        return self.where(kept)

    def merged_with(self, other: Sites) -> Sites:
        """Return these sites and others of the same stacks and lattices, in the order in which `find_sites` gives them."""
        both = [np.concatenate([getattr(self, name), getattr(other, name)]) for name in ("lattice", "stack", "hole", "setting")]
        lattice, stack, hole, setting = both
        order = np.lexsort((setting, hole[:, 1], hole[:, 0], stack, lattice))
        number = np.empty(len(order), dtype=np.intp)
        number[order] = np.arange(len(order))
        m, n = self.meetings, other.meetings
        site = number[np.concatenate([m.site, n.site + len(self)])]
        rows = np.lexsort((np.concatenate([m.match, n.match]), site))
        match, part, at, normal = (
            np.concatenate([getattr(m, name), getattr(n, name)])[rows] for name in ("match", "part", "at", "normal")
        )
        meetings = Meetings(site[rows], match, part, at, normal, joined([m.patches, n.patches]).take(rows))
        origin = np.concatenate([self.origin, other.origin])[order]
        return Sites(
            self.stacks, self.matches, self.lattices, lattice[order], stack[order], hole[order], origin, setting[order], meetings
        )

    def bodies(self, *, opened: bool = False, carriers: bool = False) -> Hulls:
        """Return the sites' solids, owner = site: clamps shut, or only clamps `opened`, or only what carries top pieces."""
        used, which = np.unique(self.stack, return_inverse=True)
        stacks = [self.stacks[index] for index in used.tolist()]
        rows = np.argsort(which, kind="stable")
        if opened or carriers:
            bodies = [stack.opened if opened else stack.carrying for stack in stacks]
            return Hulls.copies(bodies, which[rows], self.origin[rows], rows)
        bodies = [body for stack in stacks for body in (stack.still, stack.moving)]
        rows, moves = np.tile(rows, 2), np.repeat([0, 1], len(rows))
        order = np.lexsort((moves, which[rows]))
        rows, moves = rows[order], moves[order]
        return Hulls.copies(bodies, 2 * which[rows] + moves, self.origin[rows] + moves[:, None] * self.displacement[rows], rows)

    def candidates(self, lattice: int) -> list[Candidate]:
        """Return the sites of one lattice as candidates."""
        rows = np.flatnonzero(self.lattice == lattice)
        met: dict[int, list[Meeting]] = {int(row): [] for row in rows}
        m = self.meetings
        for k in np.flatnonzero(self.lattice[m.site] == lattice).tolist():
            face = self.matches[int(m.match[k])].face
            met[int(m.site[k])].append(Meeting(face.part, face.label, m.at[k], m.normal[k], m.patch(k)))
        found = []
        for row in rows.tolist():
            stack = self.stacks[int(self.stack[row])]
            setting = None if stack.travel is None else float(self.setting[row])
            hole = (int(self.hole[row, 0]), int(self.hole[row, 1]))
            found.append(Candidate(stack, hole, self.origin[row], setting, tuple(met[row])))
        return found


def find_sites(reachable: ReachableHoles, lattices: Sequence[Lattice], wanted: Flags | None = None) -> Sites:
    """Return the sites on the lattices (of one pitch): a stack in a hole at a setting with all the faces its pads meet.

    `wanted` pairs (matches, lattices) are all if not given; all matches of a stack must be wanted alike.
    """
    look()
    pads = reachable.placed_pads(
        lattices, np.ones((len(reachable.matches), len(lattices)), dtype=bool) if wanted is None else wanted
    )
    rows, at, patches = reachable.patches(pads)
    match, setting = pads.match[rows], np.round(pads.setting[rows], 6)
    keys = np.stack([pads.lattice[rows], reachable.stack[match], *pads.hole[rows].astype(np.intp).T], axis=1)
    low = keys.min(axis=0, initial=0)
    wide = (keys - low).max(axis=0, initial=0) + 1
    code = np.ravel_multi_index(tuple((keys - low).T), tuple(wide.tolist()))
    order = np.lexsort((match, setting, code))
    keys, setting, code = keys[order], setting[order], code[order]
    fresh = np.ones(len(order), dtype=bool)
    fresh[1:] = (np.diff(code) != 0) | (np.diff(setting) != 0)
    first, match = np.flatnonzero(fresh), match[order]
    lattice, hole = keys[first, 0], keys[first, 2:4]
    origin = np.zeros((len(first), 3))
    origin[:, :2] = np.array([entry.phase for entry in lattices])[lattice] + lattices[0].pitch * hole
    site, own = np.cumsum(fresh) - 1, patches.take(order)
    meetings = Meetings(site, match, reachable.part[match], at[order], reachable.normal[match], own)
    return Sites(reachable.stacks, reachable.matches, lattices, lattice, keys[first, 1], hole, origin, setting[first], meetings)
