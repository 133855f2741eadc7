"""Names of questions by the thousand: two whole numbers each, mixed from what the answer depends on.

Formula: ``h = (h * D xor value) * C``, ``h = (h xor (h >> 32)) * D``, ``h = h xor (h >> 29)``, in whole numbers of 64 bits,
with constants of its own for each of the two. Different questions get one name with a chance of 1 in 2 ** 128 for each pair.
Source: multiplications and shifts of the finisher of MurmurHash3 (A. Appleby, public domain).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array

Names = NDArray[np.uint64]
Rows = NDArray[np.intp]
_FIRST = np.array([0xFF51AFD7ED558CCD, 0x9FB21C651E98DF25], dtype=np.uint64)
_SECOND = np.array([0xC4CEB9FE1A85EC53, 0xD6E8FEB86659FD93], dtype=np.uint64)
_HALF, _MORE = np.uint64(32), np.uint64(29)


def names_of(contents: Sequence[bytes]) -> Names:
    """Return the names (n, 2) of some contents of 16 bytes."""
    return np.frombuffer(b"".join(contents), dtype=np.uint64).reshape(-1, 2)


def mixed(names: Names, *columns: Array | Rows | Names) -> Names:
    """Return names (n, 2) that also stand for what is in some columns: numbers (n,), or names (n, 2)."""
    for column in columns:
        values = _bits(column)
        names = (names * _SECOND ^ (values if values.ndim == 2 else values[:, None])) * _FIRST
        names = (names ^ (names >> _HALF)) * _SECOND
        names = names ^ (names >> _MORE)
    return names


def _bits(column: Array | Rows | Names) -> Names:
    """Return numbers as whole numbers of 64 bits; one zero, whatever its sign."""
    if column.dtype == np.float64:
        return (column + 0.0).view(np.uint64)
    return column.view(np.uint64) if column.dtype == np.uint64 else column.astype(np.int64).view(np.uint64)


def together(names: Names, group: Rows, groups: int) -> Names:
    """Return one name a group (groups, 2) for all of its members, whatever their order."""
    found = np.zeros((groups, 2), dtype=np.uint64)
    np.add.at(found, group, names)
    return found
