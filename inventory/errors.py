"""Every error Holdwright raises on purpose, drawn as one tree.

HoldwrightError
├── InvalidDocument      a document breaks its contract; carries every fault found
└── StoreError           the store cannot do what was asked (subclasses in inventory.store)
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a document.

    Parameters
    ----------
    pointer : str
        JSON pointer (RFC 6901) to the offending value, relative to the value that found it.
    wrong : str
        What is wrong, with the numbers.
    accepted : str
        What would be accepted instead.
    """

    pointer: str
    wrong: str
    accepted: str

    def under(self, prefix: str) -> Fault:
        """Return the same fault, seen from a document that holds this one at `prefix`."""
        return Fault(prefix + self.pointer, self.wrong, self.accepted)


class HoldwrightError(Exception):
    """Base of every error Holdwright raises on purpose."""


class InvalidDocument(HoldwrightError):
    """A document breaks its contract; `faults` lists everything found wrong with it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("; ".join(f"{f.pointer or '/'}: {f.wrong}" for f in self.faults))


class StoreError(HoldwrightError):
    """The store cannot do what was asked."""


def refuse(faults: Iterable[Fault]) -> None:
    """Raise `InvalidDocument` if there is any fault at all."""
    found = tuple(faults)
    if found:
        raise InvalidDocument(found)
