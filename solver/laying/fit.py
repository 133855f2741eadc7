"""Whether a weldment's parts and welds fit together: each part one piece, no two in one place, every weld on both its parts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from inventory.errors import Fault
from inventory.limits import plain, shown
from inventory.shapes import Array
from solver.geometry.cut_solids import senseless
from solver.geometry.overlaps import close_pairs, common_point
from solver.geometry.points import distances_to
from solver.geometry.tolerances import ROUND_TOUCH
from solver.weldment import Part, Weld

NEAREST = 1.0
"""A weld's path may always be this far from its parts, mm; as far as its leg if that is more."""
SAMPLE = 2.0
"""Points of a weld's path are looked at this far apart, mm."""
MOST_SAMPLES = 500
MOST_OVERLAPS = 100


def fit_faults(parts: Sequence[Part | None], welds: Sequence[Weld | None], overlap: float) -> Iterator[Fault]:
    """Yield cuts that make no sense, parts that overlap and welds that leave their parts.

    Parameters
    ----------
    parts, welds : sequences
        None stands for an entry at fault by itself; pointers count it.
    overlap : float
        How far parts may overlap, mm (rule fit.overlap); round parts by 0.3 % of their diameter more.

    Notes
    -----
    Parts that carry the same id are not tried against each other, nor a weld against parts that overlap: each is one
    fault already, and its place cannot be judged before that is mended. A body is a hull around what is really there:
    it may stand in other parts, and a weld that joins it has to lie on the other part alone.
    """
    for index, part in enumerate(parts):
        if part is not None and part.cuts:
            yield from (fault.under(f"/parts/{index}") for fault in senseless(part.drawn))
    pairs: set[frozenset[str]] = set()
    for first, second, fault in _overlaps(parts, overlap):
        pairs.add(frozenset((first, second)))
        yield fault
    known: dict[str, Part] = {}
    for part in parts:
        if part is not None:
            known.setdefault(part.id, part)
    for index, weld in enumerate(welds):
        if weld is not None and frozenset(weld.parts) not in pairs and all(id in known for id in weld.parts):
            yield from _stray(f"/welds/{index}/path", weld, known)


def _overlaps(parts: Sequence[Part | None], overlap: float) -> Iterator[tuple[str, str, Fault]]:
    sound = [(index, part) for index, part in enumerate(parts) if part is not None and not part.body]
    solids = [part.drawn for _, part in sound]
    diameters = np.array([part.section.diameter or 0.0 if part.section.round else 0.0 for _, part in sound])
    allowed = overlap + ROUND_TOUCH * np.maximum.outer(diameters, diameters)
    count = 0
    for earlier, later in close_pairs(solids, allowed):
        (_, one), (index, two) = sound[earlier], sound[later]
        most = float(allowed[earlier, later])
        if one.id == two.id or (point := common_point(solids[earlier], solids[later], most)) is None:
            continue
        count += 1
        accepted = f"parts that overlap by at most {plain(most)} mm (fit.overlap)"
        if count > MOST_OVERLAPS:
            yield (
                one.id,
                two.id,
                Fault("/parts", f"more than {MOST_OVERLAPS} pairs of parts overlap; the rest is not tried", accepted),
            )
            return
        yield (
            one.id,
            two.id,
            Fault(f"/parts/{index}", f"part {shown(two.id)} stands in part {shown(one.id)} near {_at(point)}", accepted),
        )


def _at(point: Sequence[float]) -> str:
    return "(" + ", ".join(plain(round(float(c), 1)) for c in point) + ")"


def _stray(pointer: str, weld: Weld, parts: dict[str, Part]) -> Iterator[Fault]:
    leg = weld.leg if weld.leg is not None else (weld.throat or 0.0) * math.sqrt(2)
    reach = max(NEAREST, leg)
    points = sampled(weld.path)
    said = []
    for id in [id for id in weld.parts if not parts[id].body]:
        away = distances_to(parts[id].drawn, points)
        worst = int(away.argmax())
        if away[worst] > reach:
            said.append(f"{away[worst]:.3g} mm off part {shown(id)} at {_at(points[worst])}")
    if said:
        yield Fault(
            pointer, "the weld runs " + " and ".join(said), f"a path within {plain(reach)} mm of {_of(weld, parts)} all along"
        )


def _of(weld: Weld, parts: dict[str, Part]) -> str:
    located = [id for id in weld.parts if not parts[id].body]
    return "both parts" if len(located) == 2 else f"part {shown(located[0])}"


def sampled(path: Sequence[Sequence[float]]) -> Array:
    """Return the points of a polyline and points between them, (n, 3), at most 2 mm apart on paths up to 1 m."""
    points = np.array(path, dtype=float)
    steps = np.diff(points, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    spacing = max(SAMPLE, float(lengths.sum()) / MOST_SAMPLES)
    pieces = [points[:1]]
    for start, step, length in zip(points, steps, lengths, strict=False):
        count = max(1, math.ceil(float(length) / spacing))
        pieces.append(start + np.linspace(0, 1, count + 1)[1:, None] * step)
    return np.concatenate(pieces)
