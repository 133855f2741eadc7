"""Whether every part is located: three under it, two along the side, one at the end, well conditioned."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import plane
from solver.checks.arithmetic.vectors import cross
from solver.checks.report import at_least, at_most, fail
from solver.checks.scene.rings import rings_together
from solver.checks.scene.rows import Row, rows_of
from solver.checks.scene.scene import UP, Scene, SetPart
from solver.plans import Finding

EXHAUSTIVE = 1500


def check_located(scene: Scene) -> Iterator[Finding]:
    """Yield count, condition and support of each part's locators; a ring that is located together gives its parts their ends."""
    together = {id for ring in rings_together(scene) for id in ring.parts}
    for part in scene.parts.values():
        rows = rows_of(scene, part.id)
        yield from _counted(part, rows, ended=part.id in together)
        if part.id not in together:
            yield _condition(scene, part, rows)
        yield _balance(scene, part, rows)


def _counted(part: SetPart, rows: Sequence[Row], *, ended: bool) -> Iterator[Finding]:
    """Yield whether there are three support, two side and one end row; a carrying part's level rows fill what is lacking.

    A part that is `ended` already is asked for no end.
    """
    lying = part.part.section.round and abs(part.pose[:3, 2] @ UP) < 1 - 1e-6
    support = sum(row.supports for row in rows)
    yield at_least("locate.support_points", part.id, support, 2 if lying else 3, "rows")
    mates: dict[str, int] = {}
    for row in rows:
        if row.kind == "part" and not row.supports:
            mates[row.source] = mates.get(row.source, 0) + 1
    spare = sorted(mates.values(), reverse=True)
    side, end = sum("side" in row.roles for row in rows), sum("end" in row.roles for row in rows)
    if side < 2 and spare:
        side += spare.pop(0)
    if end < 1 and spare:
        end += spare.pop(0)
    yield at_least("locate.side_points", part.id, side, 2, "rows")
    if not ended:
        yield at_least("locate.end_points", part.id, end, 1, "rows")


def matrix(part: SetPart, rows: Sequence[Row]) -> Array:
    """Return the locator matrix: rows [n, (r x n) / rho], r from the centre of gravity."""
    normals = np.array([row.normal for row in rows])
    arms = np.array([row.at for row in rows]) - part.inertia.centre
    return np.hstack([normals, cross(arms, normals) / part.inertia.rho])


def _condition(scene: Scene, part: SetPart, rows: Sequence[Row]) -> Finding:
    """Return the condition number, the smaller of all rows and of the best subset that is just enough."""
    rank, limit = (5 if part.part.section.round else 6), scene.rules["locate.condition_max"]
    if len(rows) < rank:
        return fail("locate.condition_max", part.id, f"{len(rows)} rows, rank {rank} asked", math.inf, limit)
    full = matrix(part, rows)
    if part.part.section.round:
        spin = np.array([0.0, 0.0, 0.0, *part.pose[:3, 2]])
        full = full - np.outer(full @ spin, spin)
    value = condition(full, rank, limit)
    if not math.isfinite(value):
        return fail("locate.condition_max", part.id, f"the rows do not reach rank {rank}", value, limit)
    return at_most("locate.condition_max", part.id, value, limit, "")


def condition(rows: Array, rank: int, limit: float) -> float:
    """Return the condition number of a locator matrix: of all its rows, or above `limit` the least found of `rank`."""
    value = _ratio(rows, rank)
    return value if value <= limit or not math.isfinite(value) else min(value, _best_subset(rows, rank, limit))


def _ratio(rows: Array, rank: int) -> float:
    values = np.linalg.svd(rows, compute_uv=False)
    return float(values[0] / values[rank - 1]) if values[rank - 1] > 1e-9 else math.inf


def _best_subset(rows: Array, rank: int, limit: float) -> float:
    """Return the least condition of `rank` rows: all subsets if few, else exchange from a pivoted start until within `limit`."""
    count = len(rows)
    if math.comb(count, rank) <= EXHAUSTIVE:
        picks = np.array(list(combinations(range(count), rank)))
        values = np.linalg.svd(rows[picks], compute_uv=False)
        least = values[:, rank - 1]
        return float(np.where(least > 1e-9, values[:, 0] / np.maximum(least, 1e-9), math.inf).min())
    chosen = _pivoted(rows, rank)
    best = _ratio(rows[chosen], rank)
    improved = True
    while improved and best > limit:
        improved = False
        for place in range(rank):
            others = [k for k in range(count) if k not in chosen]
            tries = np.array([[*chosen[:place], k, *chosen[place + 1 :]] for k in others])
            values = np.linalg.svd(rows[tries], compute_uv=False)
            ratios = np.where(values[:, rank - 1] > 1e-9, values[:, 0] / np.maximum(values[:, rank - 1], 1e-9), math.inf)
            k = int(ratios.argmin())
            if ratios[k] < best - 1e-9:
                best, chosen, improved = float(ratios[k]), tries[k].tolist(), True
    return best


def _pivoted(rows: Array, rank: int) -> list[int]:
    """Return rows picked one by one, each the farthest from the span of those before."""
    rest, chosen = rows.copy(), []
    for _ in range(rank):
        k = int((rest * rest).sum(1).argmax())
        chosen.append(k)
        unit = rest[k] / max(float(np.linalg.norm(rest[k])), 1e-12)
        rest = rest - np.outer(rest @ unit, unit)
        rest[k] = 0.0
    return chosen


def _balance(scene: Scene, part: SetPart, rows: Sequence[Row]) -> Finding:
    """Return how far the centre of gravity lies inside the outline of the support patches."""
    patches = [row.patch for row in rows if row.supports]
    own = plane.least_width(part.block.corners[:, :2])
    limit = min(scene.rules["locate.support_margin"], scene.rules["locate.support_margin_ratio"] * own)
    if not patches:
        return fail("locate.support_margin", part.id, "nothing supports it", None, limit, "mm")
    outline = plane.hull(np.concatenate(patches)[:, :2])
    return at_least("locate.support_margin", part.id, plane.margin(part.inertia.centre[:2], outline), limit, "mm", slack=1e-3)
