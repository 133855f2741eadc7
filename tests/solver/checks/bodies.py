"""Random placed prisms, and the same bodies as an exact mesh library sees them."""

from __future__ import annotations

from typing import Any

import manifold3d
import numpy as np

from inventory.shapes import Array, Prism, as_matrix

RING = tuple((20 * float(np.cos(a)), 20 * float(np.sin(a))) for a in np.linspace(0, 2 * np.pi, 24, endpoint=False))
BORE = tuple((0.8 * u, 0.8 * v) for u, v in RING)
SHAPES: tuple[tuple[Any, Any], ...] = (
    (((-10, -8), (12, -8), (12, 9), (-10, 9)), ()),
    (((0, 0), (30, 0), (30, 5), (5, 5), (5, 25), (0, 25)), ()),
    (RING, (BORE,)),
    (((-20, -10), (20, -10), (20, 10), (-20, 10)), (((-17, -7), (17, -7), (17, 7), (-17, 7)),)),
)
"""A bar, an angle, a round tube, a square tube."""


def rotation(chance: np.random.Generator) -> Array:
    """Return a random rotation."""
    quaternion = chance.normal(size=4)
    w, x, y, z = quaternion / np.linalg.norm(quaternion)
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )


def random_prism(chance: np.random.Generator) -> Prism:
    """Return a random section at a random place and turn, three times in ten square to the axes."""
    outline, cutouts = SHAPES[chance.integers(len(SHAPES))]
    frame = np.eye(4)
    frame[:3, :3] = rotation(chance) if chance.random() < 0.7 else [[0, 0, 1], [1, 0, 0], [0, 1, 0]]
    frame[:3, 3] = chance.uniform(-35, 35, 3)
    return Prism(outline, 0.0, float(chance.uniform(5, 60)), cutouts, as_matrix(frame))


def exact(prism: Prism, shift: Array | None = None) -> Any:
    """Return a prism as an exact solid, shifted."""
    rings = [np.array(prism.outline), *(np.array(ring)[::-1] for ring in prism.cutouts)]
    section = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    solid = manifold3d.Manifold.extrude(section, prism.end - prism.start).translate((0, 0, prism.start))
    placed = solid.transform(np.array(prism.frame)[:3])
    return placed if shift is None else placed.translate(tuple(shift))


def exact_gap(a: Any, b: Any, cap: float) -> float:
    """Return the distance of two exact solids, 0 if they share volume, at most `cap`."""
    return 0.0 if (a ^ b).volume() > 1e-6 else float(a.min_gap(b, cap))
