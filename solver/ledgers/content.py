"""What stands for the content of values: 16 bytes that differ wherever a number, a word or a shape does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from hashlib import blake2b
from typing import Any, TypeAlias, Union

import numpy as np
from numpy.typing import NDArray

Value: TypeAlias = Union[bool, int, float, str, bytes, NDArray[Any], "Sequence[Value]", None]


def content_of(*values: Value) -> bytes:
    """Return 16 bytes that stand for some values: words, numbers, arrays, and sequences of those.

    A whole number and the same number with a point are two things, as are 0.0 and -0.0.
    """
    digest = blake2b(digest_size=16)
    for part in _written(values):
        digest.update(part)
    return digest.digest()


def _written(value: Value) -> Iterator[bytes]:
    """Yield a value as bytes from which its kind, its size and itself could be read again."""
    if isinstance(value, np.ndarray):
        yield f"array {value.dtype.str} {value.shape};".encode()
        yield value.tobytes()
    elif isinstance(value, str | bytes):
        yield f"{type(value).__name__} {len(value)};".encode()
        yield value.encode() if isinstance(value, str) else value
    elif value is None or isinstance(value, bool | int | float):
        yield f"{type(value).__name__} {value!r};".encode()
    else:
        yield b"sequence %d;" % len(value)
        for entry in value:
            yield from _written(entry)
