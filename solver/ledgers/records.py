"""Records of what was found before, some bytes each, looked up by what stands for the content of all it depends on."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

import numpy as np

from solver.ledgers.answers import Arrays

MOST_BYTES = 20_000_000
"""A ledger of so many bytes forgets them all before it learns more."""
NAME = 16
"""Bytes of a record's name."""


class Records:
    """All records of one ledger by their names of 16 bytes."""

    kind: ClassVar[str] = "records"

    def __init__(self) -> None:
        self.known: dict[bytes, bytes] = {}
        self.size = 0

    def __len__(self) -> int:
        return len(self.known)

    def ask(self, name: bytes, compute: Callable[[], bytes]) -> tuple[bytes, Arrays | None]:
        """Return a record, and what was learned by asking, None if nothing."""
        found = self.known.get(name)
        if found is not None:
            return found, None
        found = compute()
        self._know(name, found)
        return found, _arrays({name: found})

    def arrays(self) -> Arrays:
        """Return all it knows: `names` (n, 16), where each record `ends` (n,), and their `content` one after the other."""
        return _arrays(self.known)

    def take_in(self, arrays: Arrays) -> None:
        """Know more, as `arrays` gives it."""
        ends = arrays["ends"].tolist()
        for name, start, end in zip(arrays["names"], [0, *ends], ends, strict=False):
            self._know(name.tobytes(), arrays["content"][start:end].tobytes())

    def _know(self, name: bytes, record: bytes) -> None:
        if name in self.known:
            return
        if self.size > MOST_BYTES:
            self.known, self.size = {}, 0
        self.known[name] = record
        self.size += NAME + len(record)


def _arrays(known: dict[bytes, bytes]) -> Arrays:
    return {
        "names": np.frombuffer(b"".join(known), dtype=np.uint8).reshape(-1, NAME),
        "ends": np.cumsum([len(record) for record in known.values()], dtype=np.int64),
        "content": np.frombuffer(b"".join(known.values()), dtype=np.uint8),
    }
