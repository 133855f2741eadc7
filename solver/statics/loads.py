"""Load cases: gravity alone, handling pushes at the welds, and the pull of cooling tacks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from inventory.shapes import Array
from solver.rule_book.book import RuleBook
from solver.statics.contacts import Index
from solver.weldment import WeldKind

SHRINKING: tuple[WeldKind, ...] = ("fillet", "lap", "corner")
NO_PART = -1
CaseKind = Literal["gravity", "handling", "shrinkage"]
RULE_OF: Mapping[CaseKind, str] = {
    "gravity": "hold.gravity", "handling": "hold.handling_n", "shrinkage": "hold.shrink_n_per_mm2",
}  # fmt: skip
"""The rule each kind of load comes from."""
Place = Literal["", "start", "middle", "end"]


def _fourteen() -> Array:
    axes = [sign * axis for axis in np.eye(3) for sign in (1.0, -1.0)]
    diagonals = [np.array([x, y, z]) / np.sqrt(3.0) for x in (1.0, -1.0) for y in (1.0, -1.0) for z in (1.0, -1.0)]
    return np.array(axes + diagonals)


DIRECTIONS: Array = _fourteen()


@dataclass(frozen=True, slots=True)
class WeldJoint:
    """What statics needs of one weld, in the table frame.

    Parameters
    ----------
    name : str
        The weld's id.
    parts : (int, int)
        Indices of the two parts.
    ends : (2, 3) array
        Start and end of the path (equal for a closed one); the root of the tack at each.
    middle : (3,) array
        The point half-way along the path.
    toes : (2, 2, 3) array
        ``toes[end, k]``: where the bead's edge meets `parts[k]` at that end.
    kind : str
        Weld kind; only `SHRINKING` kinds pull their toes together.
    throat : float
        Throat of the bead, mm (leg / sqrt 2 for an equal-leg fillet).
    """

    name: str
    parts: tuple[int, int]
    ends: Array
    middle: Array
    toes: Array
    kind: WeldKind
    throat: float


@dataclass(frozen=True, slots=True)
class CaseName:
    """Which load case: its kind, the weld and the place along it, the part pushed and the direction of the push."""

    kind: CaseKind
    weld: str = ""
    place: Place = ""
    part: int = NO_PART
    direction: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def rule(self) -> str:
        """The rule the load comes from."""
        return RULE_OF[self.kind]

    def text(self, part_ids: Sequence[str] = ()) -> str:
        """Return the case in words; parts by id where ids are given."""
        if self.kind == "gravity":
            return "gravity alone"
        where = f"the {self.place} of weld {self.weld}"
        if self.kind == "shrinkage":
            return f"shrinkage of the tack at {where}"
        part = part_ids[self.part] if part_ids else f"part {self.part}"
        x, y, z = (number + 0.0 for number in self.direction)
        return f"push on {part} at {where} along ({x:.2g}, {y:.2g}, {z:.2g})"


@dataclass(frozen=True, slots=True)
class LoadCases:
    """Load cases as arrays; every case also carries gravity, unfactored.

    Parameters
    ----------
    names : tuple of CaseName, length N
        Case 0 is gravity alone.
    part : (N, 2) int
        The one or two parts loaded; `NO_PART` where there is none.
    at, force : (N, 2, 3)
        Point of attack, mm, and force, N, on each of the two.
    root : (N, 3)
        Where the tack's root carries any force between the two parts; nan where there is no such freedom.
    """

    names: tuple[CaseName, ...]
    part: Index
    at: Array
    force: Array
    root: Array

    def __len__(self) -> int:
        return len(self.names)


def load_cases(welds: Sequence[WeldJoint], rules: RuleBook) -> LoadCases:
    """Return the rule book's load cases for a weldment whose parts are all loaded and clamps all shut.

    Handling pushes with `hold.handling_n` x `clamp.safety` in 14 directions on either part at both ends and the middle
    of each weld; the middle of a straight weld is left out, because what is resisted at both ends is resisted between
    them (the resisted loads are a convex set and the middle's load is the ends' mean). Shrinkage pulls the two toes at
    either end together with throat x `tack.length` x `hold.shrink_n_per_mm2` x `clamp.safety`.

    Parameters
    ----------
    welds : sequence of WeldJoint
        Table frame.
    rules : RuleBook
        The resolved rule book.
    """
    names, part, at, force, root = [CaseName("gravity")], [(NO_PART, NO_PART)], [np.zeros((2, 3))], [np.zeros((2, 3))], [_NOWHERE]
    push = rules["hold.handling_n"] * rules["clamp.safety"]
    pull_per_mm = rules["tack.length"] * rules["hold.shrink_n_per_mm2"] * rules["clamp.safety"]
    seen: set[tuple[int, tuple[float, ...]]] = set()
    for weld in welds:
        for place, point in _places(weld) if push > 0 else ():
            for index in weld.parts:
                key = (index, tuple(np.round(point, 6)))
                if key in seen:
                    continue
                seen.add(key)
                for direction in DIRECTIONS:
                    names.append(CaseName("handling", weld.name, place, index, tuple(direction)))
                    part.append((index, NO_PART))
                    at.append(np.array([point, point]))
                    force.append(np.array([push * direction, np.zeros(3)]))
                    root.append(_NOWHERE)
        for end in (0, 1) if weld.kind in SHRINKING and pull_per_mm > 0 else ():
            between = weld.toes[end, 1] - weld.toes[end, 0]
            distance = float(np.linalg.norm(between))
            if distance < 1e-9:
                continue
            pull = between / distance * weld.throat * pull_per_mm
            names.append(CaseName("shrinkage", weld.name, "end" if end else "start"))
            part.append(weld.parts)
            at.append(weld.toes[end])
            force.append(np.array([pull, -pull]))
            root.append(weld.ends[end])
    return LoadCases(tuple(names), np.array(part, dtype=np.intp), np.array(at), np.array(force), np.array(root))


_NOWHERE = np.full(3, np.nan)


def _places(weld: WeldJoint) -> list[tuple[Place, Array]]:
    start, end = weld.ends
    places: list[tuple[Place, Array]] = [("start", start)]
    if np.linalg.norm(end - start) > 1e-9:
        places.append(("end", end))
    if np.linalg.norm(weld.middle - (start + end) / 2) > 1e-6:
        places.append(("middle", weld.middle))
    return places
