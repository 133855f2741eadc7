"""One reading of one document: plain values, every fault found so far, and what is still sound."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from inventory.errors import Fault, InvalidDocument
from service.documents.reading.described import Path
from service.documents.reading.faults import MOST_FAULTS, Structure, structure_of
from service.documents.reading.text import DEEPEST, LARGEST_BODY, JsonText, read_text, token

T = TypeVar("T")
Whole = TypeVar("Whole", bound=BaseModel)
Model = TypeVar("Model", bound=BaseModel)


@cache
def schema_of(model: type[BaseModel]) -> dict[str, Any]:
    """Return the JSON Schema of a model, by the documents' field names."""
    return model.model_json_schema(by_alias=True)


class Reading(Generic[Whole]):
    """Collects the faults of one document; builds what is sound and leaves out what is not.

    Parameters
    ----------
    raw : bytes, str or dict
        The document.
    model : type
        The pydantic model of the whole document.
    largest : int
        Most bytes accepted.
    """

    def __init__(self, raw: bytes | str | dict[str, Any], model: type[Whole], largest: int = LARGEST_BODY) -> None:
        text: JsonText = read_text(raw, largest)
        self.values: Any = text.values
        self.document: Whole | None = None
        self.faults: list[Fault] = []
        self._faulty: set[str] = set()
        self._known: set[tuple[str, str]] = set()
        self._add(text.faults)
        self._read(model)

    def _read(self, model: type[Whole]) -> None:
        lexical = [fault.pointer for fault in self.faults]
        found = self._validated(model)
        if found.unknown:
            # An unknown field says nothing about its neighbours: read once more without it, to find what else is wrong.
            self.values = copy.deepcopy(self.values)
            for path in found.unknown:
                _remove(self.values, path)
            unknown = [fault for fault in found.unknown_fields if not _covered(fault.pointer, lexical)]
            self.faults += unknown
            self._known.update((fault.pointer, fault.wrong) for fault in unknown)
            found = self._validated(model)
        self._add(fault for fault in found.faults if not _covered(fault.pointer, lexical))
        if len(found.faults) > MOST_FAULTS:
            self.finish()  # what is at fault beyond those named would pass for sound from here on

    def _validated(self, model: type[Whole]) -> Structure:
        try:
            self.document = model.model_validate(self.values)
        except ValidationError as error:
            return structure_of(error, self.values, schema_of(model))
        return Structure()

    def _add(self, faults: Iterable[Fault]) -> None:
        for fault in faults:
            self.faults.append(fault)
            self._known.add((fault.pointer, fault.wrong))
            pointer = fault.pointer
            self._faulty.add(pointer)
            while pointer:
                pointer = pointer.rpartition("/")[0]
                self._faulty.add(pointer)

    def add(self, faults: Iterable[Fault], under: str = "") -> None:
        """Keep faults found by the domain, except what is at or below a place already at fault, and repetitions."""
        found = [fault.under(under) for fault in faults]
        self._add([fault for fault in found if (fault.pointer, fault.wrong) not in self._known])

    def sound(self, pointer: str) -> bool:
        """Whether neither the value there nor anything inside it is at fault."""
        return pointer not in self._faulty

    def at(self, pointer: str) -> Any:
        """Return the plain value at a pointer, None if there is none."""
        here = self.values
        for step in pointer.split("/")[1:]:
            if isinstance(here, dict):
                here = here.get(step.replace("~1", "/").replace("~0", "~"))
            elif isinstance(here, list) and step.isdigit() and int(step) < len(here):
                here = here[int(step)]
            else:
                return None
        return here

    def entries(self, pointer: str) -> Sequence[Any]:
        """Return the entries of the list at a pointer, none if it is not a list."""
        found = self.at(pointer)
        return found if isinstance(found, list) else ()

    def names(self, pointer: str, field: str) -> list[tuple[str, str | None]]:
        """Return where each entry of a list is named by a field, and the name; None where it is no sound text."""
        found: list[tuple[str, str | None]] = []
        for index, entry in enumerate(self.entries(pointer)):
            at = f"{pointer}/{index}/{field}"
            name = entry.get(field) if isinstance(entry, dict) and self.sound(at) else None
            found.append((at, name if isinstance(name, str) else None))
        return found

    def sound_models(self, pointer: str, model: type[Model]) -> list[Model | None]:
        """Return the entries of the list at a pointer, each read by itself; None where one is at fault."""
        return [self.sound_model(f"{pointer}/{index}", model) for index in range(len(self.entries(pointer)))]

    def sound_model(self, pointer: str, model: type[Model]) -> Model | None:
        """Return the object at a pointer read by itself, None if it is at fault or absent."""
        raw = self.at(pointer)
        if raw is None or not self.sound(pointer):
            return None
        try:
            return model.model_validate(raw)
        except ValidationError:
            if not self.faults:
                raise
            return None  # something above it is at fault, which kept its own faults from being found

    def made(self, build: Callable[[], T], under: str = "") -> T | None:
        """Return a domain value, None if the domain refuses it; its faults are kept."""
        try:
            return build()
        except InvalidDocument as refusal:
            self.add(refusal.faults, under)
            return None

    def finish(self) -> None:
        """Raise InvalidDocument if anything was found, in the document's own order."""
        if not self.faults:
            return
        order = _order(self.values)
        ranked = sorted(self.faults, key=lambda fault: order.get(_nearest(fault.pointer, order), 0))
        if len(ranked) > MOST_FAULTS:
            ranked = [*ranked[:MOST_FAULTS], Fault("", "there are more faults than are listed", "the faults above mended first")]
        raise InvalidDocument(ranked)


def _remove(values: Any, path: Path) -> None:
    for step in path[:-1]:
        values = values[step]
    values.pop(path[-1], None)


def _covered(pointer: str, lexical: Sequence[str]) -> bool:
    """Whether a lexical fault stands at a pointer or far below it, as one root of both."""
    return any(other == pointer or (other.startswith(f"{pointer}/") and other.count("/") >= DEEPEST) for other in lexical)


def _nearest(pointer: str, order: dict[str, int]) -> str:
    while pointer and pointer not in order:
        pointer = pointer.rpartition("/")[0]
    return pointer


def _order(values: Any) -> dict[str, int]:
    """Return the position of every pointer in the document, depth first."""
    order: dict[str, int] = {}
    stack: list[tuple[str, Any]] = [("", values)]
    while stack:
        pointer, value = stack.pop()
        order[pointer] = len(order)
        if isinstance(value, dict):
            stack += ((f"{pointer}/{token(str(key))}", entry) for key, entry in reversed(value.items()))
        elif isinstance(value, list):
            stack += ((f"{pointer}/{k}", entry) for k, entry in reversed(list(enumerate(value))))
    return order
