"""A draft's weldment as it can be read so far: what is sound of it as values, and every fault of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

from pydantic import ValidationError

from inventory.errors import Fault, InvalidDocument
from service.documents import read_weldment
from service.documents.reading.fields import MM_PER, ValueDocument, lengths_in
from service.documents.weldment import OpenDimensionDocument, PartDocument, ToleranceDocument, WeldDocument
from solver.weldment import LengthUnit, OpenDimension, Part, Tolerance, Weld

Sound = TypeVar("Sound")
LISTS = ("parts", "welds", "tolerances", "open_dimensions")


@dataclass(frozen=True)
class DraftedWeldment:
    """A weldment in the making.

    Parameters
    ----------
    given : dict
        The weldment document, plain values in the draft's units; its lists are lists of objects where they are there at all.
    """

    given: Mapping[str, Any]

    @property
    def name(self) -> str:
        """Its name, empty if it has none."""
        name = self.given.get("name")
        return name if isinstance(name, str) else ""

    @property
    def units(self) -> LengthUnit:
        """The unit its lengths are given in; mm while that is at fault."""
        return "inch" if self.given.get("units") == "inch" else "mm"

    @property
    def mm_per_unit(self) -> float:
        """Millimetres per unit of its lengths."""
        return MM_PER[self.units]

    def entries(self, name: str) -> list[dict[str, Any]]:
        """Return the entries of one of its lists as they stand."""
        found = self.given.get(name)
        return found if isinstance(found, list) else []

    @cached_property
    def parts(self) -> tuple[Part | None, ...]:
        """Its parts, None for one that is at fault by itself; two may overlap, or have one id."""
        return tuple(self._read(entry, PartDocument) for entry in self.entries("parts"))

    @cached_property
    def welds(self) -> tuple[Weld | None, ...]:
        """Its welds, None for one that is at fault by itself; a sound one may still lie off its parts."""
        return tuple(self._read(entry, WeldDocument) for entry in self.entries("welds"))

    @cached_property
    def tolerances(self) -> tuple[Tolerance | None, ...]:
        """Its tolerances, None for one that is at fault by itself."""
        return tuple(self._read(entry, ToleranceDocument) for entry in self.entries("tolerances"))

    @cached_property
    def open_dimensions(self) -> tuple[OpenDimension | None, ...]:
        """Its open dimensions, None for one that is at fault by itself."""
        return tuple(self._read(entry, OpenDimensionDocument) for entry in self.entries("open_dimensions"))

    @property
    def sound_parts(self) -> tuple[Part, ...]:
        """The parts that are sound, each id once."""
        found: dict[str, Part] = {}
        for part in self.parts:
            if part is not None:
                found.setdefault(part.id, part)
        return tuple(found.values())

    @property
    def parts_with_faces(self) -> tuple[Part, ...]:
        """The sound parts that others are placed on and measured from: all but bodies."""
        return tuple(part for part in self.sound_parts if not part.body)

    def part(self, id: object) -> Part | None:
        """Return the sound part of an id, None if there is none."""
        return next((part for part in self.sound_parts if part.id == id), None)

    def part_with_faces(self, id: object) -> Part | None:
        """Return the sound part of an id that has faces, None if there is none."""
        return next((part for part in self.parts_with_faces if part.id == id), None)

    @cached_property
    def faults(self) -> tuple[Fault, ...]:
        """Everything wrong with it, at pointers into it, in its own order; empty if it can be planned for."""
        try:
            read_weldment(dict(self.given))
        except InvalidDocument as refusal:
            return refusal.faults
        return ()

    def _read(self, entry: Any, model: type[ValueDocument[Sound]]) -> Sound | None:
        with lengths_in(self.units):
            try:
                return model.model_validate(entry).to_domain()
            except ValidationError:
                return None


def drafted_weldment(document: Mapping[str, Any]) -> DraftedWeldment:
    """Return the weldment of a draft's document."""
    given = document.get("weldment")
    return DraftedWeldment(given if isinstance(given, dict) else {})
