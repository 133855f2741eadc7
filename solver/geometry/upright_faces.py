"""How long the flat upright outer faces of a part are: what its side points may stand on.

In words: a face is as long as it is level, from its outermost end to its outermost end: pieces of it in one plane count together,
cut-outs are filled, and a tube's rounded corners are taken as sharp. Facets inside a hole are no outer faces.
Formula: max over the faces of one plane of (p . t) - min of (p . t), p their corners, t level and square to the normal; a
tube's flat reaches by its corner radius r farther at either edge: r |b . t| more on each side, b square to its edges.

Example:

```text
   a plate seen from above          the two pieces of its upper edge lie in one plane: 200 mm long together
   +-----+         +-----+          the left edge: 100 mm
   |     +---------+     |          the floor of the notch: 80 mm
   |                     |
   +---------------------+          the lower edge: 200 mm
```
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from solver.geometry.faces import Face
from solver.geometry.tolerances import LEVEL, ONE_FACE, PARALLEL


def level_lengths(faces: Sequence[Face], corner_radius: float) -> Mapping[str, float]:
    """Return the level length of every flat upright outer face by its label, mm, each with all of its plane."""
    upright = [face for face in faces if abs(float(face.normal[2])) < LEVEL and not face.label.startswith("cutout:")]
    spans = [_span(face, corner_radius) for face in upright]
    found = {}
    for face in upright:
        own = [span for other, span in zip(upright, spans, strict=True) if in_one_plane(face, other)]
        found[face.label] = max(high for _, high in own) - min(low for low, _ in own)
    return found


def in_one_plane(one: Face, other: Face) -> bool:
    """Return whether two faces look the same way and lie in one plane."""
    return float(one.normal @ other.normal) > 1 - PARALLEL and abs(float(one.normal @ (other.origin - one.origin))) < ONE_FACE


def _span(face: Face, corner_radius: float) -> tuple[float, float]:
    """Return from where to where a face reaches along the level direction in its plane, mm."""
    level = np.array([-face.normal[1], face.normal[0], 0.0])
    along = face.corners() @ level
    more = corner_radius * abs(float(face.b @ level)) if face.label.startswith("side:") else 0.0
    return float(along.min()) - more, float(along.max()) + more
