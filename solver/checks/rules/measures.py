"""What an alternative is compared by: how true and how stiff it locates. Nothing is refused for it.

How true: the largest worst-case locating error at the toleranced points, along their directions; of a weldment without tolerances
at both ends of every weld, of either part, along x, y and z of the weldment. How stiff: the least stiffness of what stands under
a pad that locates, pieces on each other in series. Source: practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from solver.checks.rules.locating_error import displaced, part_motions, toleranced
from solver.checks.scene.scene import Scene
from solver.plans import Finding

ERROR, STIFFNESS = "compare.locating_error", "compare.stiffness"


def check_measures(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield the largest locating error and the least stiffness of a locator, over all stations."""
    errors = [error for scene in scenes for error in _errors(scene)]
    yield Finding(ERROR, "weldment", round(max(errors, default=0.0), 6), None, "mm", True, "largest worst-case locating error")
    least = [piece.stiffness_n_per_mm for scene in scenes for piece in scene.pieces.values() if piece.locating]
    if least:
        yield Finding(STIFFNESS, "weldment", round(min(least), 3), None, "N/mm", True, "least stiffness under a pad that locates")


def _errors(scene: Scene) -> Iterator[float]:
    """Yield the worst-case locating errors that are compared, mm; none if parts carry each other in a circle."""
    motions = part_motions(scene)
    if motions is None:
        return
    weldment = scene.request.weldment
    if weldment.tolerances:
        yield from (float(np.abs(error).sum()) for _, error in toleranced(scene, motions))
        return
    axes = [scene.vector(axis) for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))]
    for weld in scene.welds:
        for part in weld.parts:
            for end in (weld.path[0], weld.path[-1]):
                at = scene.points(end)
                yield from (float(np.abs(displaced(scene, motions, part, at, axis)).sum()) for axis in axes)
