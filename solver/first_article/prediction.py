"""How far locating alone may put a reading off: the error of every locator, carried to the points that are measured.

Every locator errs by its repeatability, its stack's added up, and by the gap its increments leave. Parts move by the influences
of `solver.accuracy`, in both readings of the rule: locators' rows met first, or all rows together; the worse of the two counts,
as in a plan's own findings. Arrays of errors are (R, ..., n): a row a reading, a column a locator; without rows where parts
rest on each other in a circle or one on nothing. Shrinkage and clamping are not in it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from graphlib import CycleError, TopologicalSorter

import numpy as np

from inventory.shapes import Array
from solver.accuracy import EXACT, Motion, PartContacts, motions
from solver.checks.arithmetic.vectors import cross
from solver.checks.scene.rings import rings_together
from solver.checks.scene.rows import Row, rows_of
from solver.checks.scene.scene import Scene

Motions = Mapping[str, Motion]
"""Each part's motion, mm and radians, a column a locator at its largest error."""


def both_readings(scene: Scene) -> tuple[Motions, ...]:
    """Return how parts move under the locators' errors, by either reading; none if they rest on each other or on nothing."""
    rows = {id: rows_of(scene, id) for id in scene.parts}
    rings = [ring.parts for ring in rings_together(scene)]
    order = _carriers_first(rows, rings)
    if order is None or not all(rows.values()):
        return ()
    errors = _errors(scene, rows)
    numbers = {key: number for number, key in enumerate(errors)}
    contacts = [_contacts(rows[id], order, numbers) for id in order]
    together = [[order.index(id) for id in ring] for ring in rings]
    sizes = np.array(list(errors.values()))
    return tuple(
        {
            id: Motion(motion.about, motion.per_source * sizes)
            for id, motion in zip(order, motions(contacts, len(sizes), locators_first=first, together=together), strict=True)
        }
        for first in (True, False)
    )


def displacements(readings: Sequence[Motions], part: str, points: Array, direction: Array) -> Array:
    """Return how far points (k, 3) of a part move along a direction, mm, (R, k, n)."""
    found = []
    for moved in readings:
        arms = cross(points - moved[part].about, direction)
        found.append(direction @ moved[part].per_source[:3] + arms @ moved[part].per_source[3:])
    return np.array(found)


def turns(readings: Sequence[Motions], part: str, axis: Array) -> Array:
    """Return how far a part turns about an axis (unit), radians, (R, n)."""
    return np.array([axis @ moved[part].per_source[3:] for moved in readings])


def worst_and_rss(errors: Array) -> tuple[float | None, float | None]:
    """Return the worst case and the root of the sum of squares of a length's errors (R, n), mm, by the worse reading."""
    if not len(errors):
        return None, None
    worst = np.abs(errors).sum(axis=1)
    by = int(np.argmax(np.round(worst, 9)))
    return float(worst[by]), float(np.sqrt((errors[by] * errors[by]).sum()))


def _key(row: Row) -> tuple[str, tuple[float, ...]]:
    return row.source, tuple(np.round(row.normal, 6).tolist())


def _errors(scene: Scene, rows: Mapping[str, Sequence[Row]]) -> dict[tuple[str, tuple[float, ...]], float]:
    """Return the largest error of each locator along each of its normals, mm."""
    found: dict[tuple[str, tuple[float, ...]], float] = {}
    for row in (row for own in rows.values() for row in own if row.kind == "piece"):
        error = scene.pieces[row.source].repeatability_mm + row.gap
        found[_key(row)] = max(error, found.get(_key(row), 0.0))
    return found


def _carriers_first(rows: Mapping[str, Sequence[Row]], rings: Sequence[tuple[str, ...]]) -> list[str] | None:
    """Return the parts, each after all it rests on; those located together are one. None if they rest on each other."""
    group = {id: next((ring for ring in rings if id in ring), (id,)) for id in rows}
    sorter: TopologicalSorter[tuple[str, ...]] = TopologicalSorter()
    for id, own in rows.items():
        on = dict.fromkeys(group[row.source] for row in own if row.kind == "part")
        sorter.add(group[id], *(other for other in on if other != group[id]))
    try:
        return [id for ready in sorter.static_order() for id in ready]
    except CycleError:
        return None


def _contacts(rows: Sequence[Row], order: Sequence[str], numbers: Mapping[tuple[str, tuple[float, ...]], int]) -> PartContacts:
    return PartContacts(
        np.array([row.at for row in rows]).reshape(-1, 3),
        np.array([row.normal for row in rows]).reshape(-1, 3),
        np.array([numbers[_key(row)] if row.kind == "piece" else EXACT for row in rows], dtype=np.intp),
        np.array([order.index(row.source) if row.kind == "part" else -1 for row in rows], dtype=np.intp),
    )
