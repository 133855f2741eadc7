"""Small vector arithmetic, quicker on a few rows than the general routines."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array

S = TypeVar("S", bound=np.generic)


def cross(a: Array, b: Array) -> Array:
    """Return the cross products of two arrays of vectors (..., 3)."""
    a, b = np.broadcast_arrays(a, b)
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)


def square_to(normal: Array) -> tuple[Array, Array]:
    """Return two unit directions square to a unit normal and to each other, right-handed with it."""
    helper = np.array([0.0, 0.0, 1.0]) if abs(normal[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    first = cross(normal, helper)
    first = first / np.linalg.norm(first)
    return first, cross(normal, first)


def following(ring: NDArray[S]) -> NDArray[S]:
    """Return each row's next, the first after the last."""
    return np.concatenate([ring[1:], ring[:1]])
