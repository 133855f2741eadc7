"""What the fields of documents are made of: numbers within limits, lengths in the document's unit, texts, points.

Lengths are `Annotated[float, Length(limit)]`: multiplied by the unit of the document they stand in, once, as they are
read; everything after that is millimetres. Numbers that carry their unit in their name are `Annotated[float, Within(limit)]`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Generic, Literal, Self, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    ModelWrapValidatorHandler,
    PrivateAttr,
)
from pydantic import GetCoreSchemaHandler as CoreHandler
from pydantic import model_validator as validator
from pydantic_core import CoreSchema, core_schema

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import Limit
from service.documents.reading.faults import as_validation_error, contract_error
from service.text import MM_PER_INCH

T = TypeVar("T")
Units = Literal["mm", "inch"]
MM_PER: dict[Any, float] = {"mm": 1.0, "inch": MM_PER_INCH}
_mm: ContextVar[float] = ContextVar("millimetres per unit of the document being read", default=1.0)


@contextmanager
def lengths_in(units: Any) -> Iterator[None]:
    """Read lengths in these units for a while; what is no unit at all reads as mm, and is refused elsewhere."""
    before = _mm.set(MM_PER.get(units, 1.0) if isinstance(units, str) else 1.0)
    try:
        yield
    finally:
        _mm.reset(before)


def checked(faults: Iterable[Fault]) -> None:
    """Raise what a validator may raise if there is any fault."""
    found = list(faults)
    if found:
        raise as_validation_error(found)


def domain(build: Any) -> Any:
    """Return the domain value a document stands for; the domain's faults become the document's."""
    try:
        return build()
    except InvalidDocument as refusal:
        raise as_validation_error(refusal.faults) from None


class Document(BaseModel):
    """Base of every document and every object inside one: strict, finite, nothing unknown."""

    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False, populate_by_name=False, frozen=True)


class ValueDocument(Document, Generic[T]):
    """A document that stands for one value, built as it is read: the value's faults are the document's."""

    _value: Any = PrivateAttr()

    @validator(mode="after")
    def _self_consistent(self) -> Self:
        self._value = domain(self._built)
        return self

    def _built(self) -> T:
        """Return the value; raises InvalidDocument."""
        raise NotImplementedError

    def to_domain(self) -> T:
        """Return the value the document stands for."""
        value: T = self._value
        return value


class Measured(Document):
    """A document that may give its lengths in inches; once read, it is in millimetres."""

    units: Annotated[Units, Field(description="unit of every length in this document: mm or inch")] = "mm"
    _given_in: Units = PrivateAttr("mm")

    @validator(mode="wrap")
    @classmethod
    def _in_its_own_unit(cls, raw: Any, handler: ModelWrapValidatorHandler[Any]) -> Any:
        with lengths_in(raw.get("units", "mm") if isinstance(raw, dict) else "mm"):
            document = handler(raw)
        if document.units == "mm":
            return document
        converted = document.model_copy(update={"units": "mm"})
        converted._given_in = document.units
        return converted


@dataclass(frozen=True)
class Within:
    """A number within a limit."""

    limit: Limit

    def __get_pydantic_core_schema__(self, source: Any, handler: CoreHandler) -> CoreSchema:
        return core_schema.no_info_after_validator_function(self._read, handler(source))

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        schema = handler(core)
        schema["minimum"] = _tidy(self.limit.low)
        schema["exclusiveMaximum" if self.limit.below else "maximum"] = _tidy(self.limit.high)
        return schema

    def _read(self, value: float) -> float:
        checked(self.limit.faults("", value))
        return value


@dataclass(frozen=True)
class Length(Within):
    """A length: read in the document's unit, limited in mm."""

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        schema = super().__get_pydantic_json_schema__(core, handler)
        schema["x-unit"] = "length"
        return schema

    def _read(self, value: float) -> float:
        return super()._read(value * _mm.get())


@dataclass(frozen=True)
class Exactly:
    """A list of so many entries."""

    count: int
    of: str

    def __get_pydantic_core_schema__(self, source: Any, handler: CoreHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self._read, handler(source))

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {**handler(core), "minItems": self.count, "maxItems": self.count}

    def _read(self, value: Any) -> Any:
        if isinstance(value, list) and len(value) != self.count:
            raise contract_error(f"{len(value)} {self.of}", f"{self.count} {self.of}")
        return value


@dataclass(frozen=True)
class UpTo:
    """A list or object of at most so many entries.

    A few too many are still read, so that their faults stand beside the count, which the domain refuses; of a great many
    only the count is given.
    """

    most: int
    least: int = 0

    def __get_pydantic_core_schema__(self, source: Any, handler: CoreHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self._read, handler(source))

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        schema = handler(core)
        kind = "Properties" if schema.get("type") == "object" else "Items"
        least = {f"min{kind}": self.least} if self.least else {}
        return {**schema, **least, f"max{kind}": self.most}

    def _read(self, value: Any) -> Any:
        if isinstance(value, list | dict) and len(value) > 2 * self.most:
            raise contract_error(f"{len(value):,} entries", f"at most {self.most:,}")
        return value


def _tidy(number: float) -> float:
    return int(number) if float(number).is_integer() else number


def _whole(value: Any) -> Any:
    # JSON has one kind of number: 5.0 is a whole number, as JSON Schema has it.
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _id(value: str) -> str:
    checked(limits.id_faults("", value))
    return value


def _name(value: str) -> str:
    checked(limits.name_faults("", value))
    return value


def _day(value: Any) -> Any:
    if isinstance(value, date):
        found = value
    else:
        try:
            found = date.fromisoformat(value if isinstance(value, str) and len(value) == 10 else "")
        except ValueError:
            raise contract_error(f"{limits.shown(value)} is not a date", "a calendar day as YYYY-MM-DD") from None
    checked(limits.day_faults("", found))
    return found


def _direction(value: list[float]) -> list[float]:
    checked(limits.direction_faults("", value, len(value)))
    return value


def _level_or_any(value: list[float]) -> list[float]:
    if len(value) not in (2, 3):
        raise contract_error(f"{len(value)} numbers", "2 numbers (a level direction) or 3")
    return _direction(value)


Id = Annotated[str, AfterValidator(_id), Field(json_schema_extra={"minLength": 1, "maxLength": limits.ID_LENGTH})]
Name = Annotated[str, AfterValidator(_name), Field(json_schema_extra={"maxLength": limits.NAME_LENGTH})]
Whole = Annotated[int, BeforeValidator(_whole)]
Day = Annotated[date, BeforeValidator(_day), Field(json_schema_extra={"pattern": "^2[01][0-9]{2}-[0-9]{2}-[0-9]{2}$"})]
Coordinate = Annotated[float, Length(limits.COORDINATE)]
Size = Annotated[float, Length(limits.SIZE)]
Point2 = Annotated[list[Coordinate], Exactly(2, "numbers")]
Point3 = Annotated[list[Coordinate], Exactly(3, "numbers")]
Direction2 = Annotated[list[float], Exactly(2, "numbers"), AfterValidator(_direction)]
LevelOrAny = Annotated[list[float], UpTo(3, 2), AfterValidator(_level_or_any)]
Direction3 = Annotated[list[float], Exactly(3, "numbers"), AfterValidator(_direction)]
Peg = Annotated[list[Annotated[Whole, Within(limits.PEG)]], Exactly(2, "lattice steps")]
Turn = Annotated[float, Within(limits.TURN)]
Ring = Annotated[list[Point2], UpTo(limits.VERTICES, 3)]


def word_or_list(value: Any) -> str:
    """Tell apart a field that is a list of numbers or the word `any`; another word is no list."""
    return "word" if value == "any" else "list"


def word_or_number(value: Any) -> str:
    """Tell apart a field that is a number or the word `best`; another word is no number."""
    return "word" if value == "best" else "number"


def pair(values: list[float]) -> tuple[float, float]:
    """Return two numbers as the values carry them."""
    return values[0], values[1]


def triple(values: list[float]) -> tuple[float, float, float]:
    """Return three numbers as the values carry them."""
    return values[0], values[1], values[2]


def level_or_any(values: list[float]) -> tuple[float, float] | tuple[float, float, float]:
    """Return the two or three numbers of a direction as the values carry them."""
    return pair(values) if len(values) == 2 else triple(values)


def ring(points: list[list[float]]) -> tuple[tuple[float, float], ...]:
    """Return an outline as the values carry it."""
    return tuple(pair(point) for point in points)
