"""The solids of a file by what their user calls them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import shown, suggestion
from service.exchange.weldments.weldment_reading import ReadBody, WeldmentReading
from solver.weldment import Part


class NamedSolids:
    """The solids of a file by what they are called; collects names that are none."""

    def __init__(self, reading: WeldmentReading) -> None:
        self._bodies = reading.bodies
        self._parts = {part.id: part for part in reading.parts}
        self._faults: list[Fault] = []

    def part(self, body: ReadBody) -> Part:
        """Return the part that a body was read as; raises InvalidDocument if it was read as none."""
        if body.part is None:
            why = "; ".join(remark.text for remark in body.remarks[:2]) or "it was not read"
            wrong = f"solid {shown(body.name)} cannot be a solid of an item: {why}"
            raise InvalidDocument([Fault("/left_out", wrong, "the solid left out, or drawn otherwise")])
        return self._parts[body.part]

    def one_of(self, name: str, pointer: str) -> ReadBody | None:
        """Return the solid of a name: its own, the end of it behind a slash, or its number; a fault is kept if there is none."""
        asked = name.strip()
        for fits in (_called(asked), _ends(asked), _numbered(asked)):
            found = [body for body in self._bodies if fits(body)]
            if len(found) == 1:
                return found[0]
            if found:
                names = ", ".join(shown(body.name) for body in found[:5])
                self._faults.append(Fault(pointer, f"{shown(name)} are {len(found)} solids: {names}", "the whole name of one"))
                return None
        accepted = suggestion(name, [body.name for body in self._bodies], "a solid of the file")
        self._faults.append(Fault(pointer, f"the file has no solid {shown(name)}", accepted))
        return None

    def all_of(self, names: Sequence[str], pointer: str) -> list[ReadBody]:
        """Return the solids of some names."""
        found = [self.one_of(name, f"{pointer}/{number}") for number, name in enumerate(names)]
        return [body for body in found if body is not None]

    def refuse(self) -> None:
        """Raise InvalidDocument if a name was none."""
        refuse(self._faults)


def _called(asked: str) -> Callable[[ReadBody], bool]:
    return lambda body: body.name == asked


def _ends(asked: str) -> Callable[[ReadBody], bool]:
    return lambda body: body.name.rpartition("/")[2] == asked


def _numbered(asked: str) -> Callable[[ReadBody], bool]:
    return lambda body: str(body.number) == asked
