"""Tips: the upright edges between the cuts of a lying part and its long faces, where a pad may stop it across its length.

In words: a pad whose plane holds the edge and has the part on one side of it is met by the edge alone. Such planes are tried as
are offered: those of what the part meets there, and the one square to its length.
Formula: n . (p - e) <= 0 for every corner p of the part, e a point of the edge, n the plane's outward normal.
Source: a corner is set flush against a square (common practice, no source).

Example:

```text
    pad | /  next part               the tip of the lower part stands on the pad, edge to plane;
        |/                           the next part's long face lies flat on it
        +--------------
    tip ^   part
```
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from shapely.geometry import LineString

from inventory.shapes import Array
from solver.geometry.faces import SLIVER, Face
from solver.geometry.tolerances import LEVEL, ONE_FACE, PARALLEL, RUNS_INTO, UP

NAME = "tip:"
"""How the labels of tips begin; the cut's number follows."""


def upright_edges(faces: Sequence[Face], cut: Face) -> Iterator[tuple[Array, Face]]:
    """Yield the upright edges (2, 3) that an upright cut shares with a part's long faces, the lower end first, and the face."""
    for face in faces:
        if not face.label.startswith("side:") or abs(float(face.normal[2])) > LEVEL:
            continue
        corners = face.corners()
        on_cut = corners[np.abs((corners - cut.origin) @ cut.normal) < ONE_FACE]
        if len(on_cut) == 2 and np.abs(on_cut[0, :2] - on_cut[1, :2]).max() < ONE_FACE:
            yield on_cut[np.argsort(on_cut[:, 2])], face


def tip_face(cut: Face, edge: Array, beside: Face, outward: Array, points: Array) -> Face | None:
    """Return an edge as what a pad meets that looks against `outward` (unit, level), None if it may not stand there.

    `points` (n, 3) are the part's corners; the edge lies between `cut` and the long face `beside`.
    """
    flush = max(float(outward @ beside.normal), float(outward @ cut.normal)) > 1 - PARALLEL
    length = float(edge[1, 2] - edge[0, 2])
    if flush or length < SLIVER or float(((points - edge[0]) @ outward).max()) > RUNS_INTO:
        return None
    label = cut.label.replace("cut:", NAME, 1)
    return Face(cut.part, label, edge[0], UP, np.cross(outward, UP), outward, LineString([(0.0, 0.0), (length, 0.0)]))
