"""A rule book with its numbers resolved: the defaults, and what a shop or a request has changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from inventory.errors import Fault, refuse
from solver.rule_book import VALUES


@dataclass(frozen=True, slots=True)
class RuleBook:
    """A resolved rule book: every rule's value, with the version it was made under.

    Indexed by dotted name: ``rules["clear.weld"]``. `changes` holds only what differs from the defaults.
    """

    changes: Mapping[str, float] = field(default_factory=dict)
    base: str = "default"
    version: int = 1

    def __post_init__(self) -> None:
        refuse(_faults(self.changes))

    def __getitem__(self, name: str) -> float:
        return self.changes[name] if name in self.changes else VALUES[name].default

    def resolved(self) -> dict[str, float]:
        """Return every rule's value by dotted name."""
        return {name: self[name] for name in VALUES}


def _faults(changes: Mapping[str, float]) -> list[Fault]:
    faults = []
    for name, value in changes.items():
        pointer = "/" + name.replace("~", "~0").replace("/", "~1")
        known = VALUES.get(name)
        if known is None:
            faults.append(Fault(pointer, f"there is no rule {name!r}", "a rule of the rule book, such as clear.weld"))
        elif not known.low <= value <= known.high:
            accepted = f"{known.low:g} to {known.high:g} {known.unit}".rstrip()
            faults.append(Fault(pointer, f"{value:g} is out of range", accepted))
    return faults
