"""A plan document's alternative, read from plain JSON values into the answer's own values; every fault at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal, TypeVar, cast, get_args

from inventory.errors import Fault, refuse
from inventory.shapes import IDENTITY, Matrix, PlaneCut, Point3, Prism
from solver.plans import (
    Alternative,
    Change,
    Cost,
    Handling,
    KitLine,
    LoadStep,
    Measures,
    Move,
    PartContact,
    PlacedContact,
    PlacedPart,
    Placement,
    Role,
    Station,
    Trait,
    Unload,
    VariantPlan,
    WeldSamples,
)

MISSING = object()
LARGEST_NUMBER = 1_000_000
T = TypeVar("T")


class Reader:
    """One value of a document with its JSON pointer; collects faults instead of raising, and yields a stand-in."""

    def __init__(self, value: Any, pointer: str, faults: list[Fault]) -> None:
        self.value, self.pointer, self.faults = value, pointer, faults

    def wrong(self, accepted: str) -> None:
        """Note that the value is not what was expected."""
        found = "is missing" if self.value is MISSING else f"is {_shown(self.value)}"
        self.faults.append(Fault(self.pointer, found, accepted))

    def __getitem__(self, key: str) -> Reader:
        value = self.value.get(key, MISSING) if isinstance(self.value, Mapping) else MISSING
        return Reader(value, f"{self.pointer}/{key}", self.faults)

    @property
    def absent(self) -> bool:
        """Whether there is no value, or null."""
        return self.value is MISSING or self.value is None

    def number(self) -> float:
        """Return a number of a size that a table can hold."""
        if isinstance(self.value, int | float) and not isinstance(self.value, bool) and abs(self.value) <= LARGEST_NUMBER:
            return float(self.value)
        self.wrong(f"a number within {LARGEST_NUMBER:,}")
        return 0.0

    def integer(self) -> int:
        """Return a whole number."""
        if isinstance(self.value, int) and not isinstance(self.value, bool):
            return self.value
        self.wrong("a whole number")
        return 0

    def flag(self) -> bool:
        """Return true or false."""
        if isinstance(self.value, bool):
            return self.value
        self.wrong("true or false")
        return False

    def text(self) -> str:
        """Return a string."""
        if isinstance(self.value, str):
            return self.value
        self.wrong("a text")
        return ""

    def words(self) -> str:
        """Return a string, empty if there is none."""
        return "" if self.absent else self.text()

    def each(self, read: Callable[[Reader], T]) -> tuple[T, ...]:
        """Return a list's entries, each read by `read`."""
        if isinstance(self.value, Sequence) and not isinstance(self.value, str):
            return tuple(read(Reader(entry, f"{self.pointer}/{k}", self.faults)) for k, entry in enumerate(self.value))
        self.wrong("a list")
        return ()

    def numbers(self, count: int) -> tuple[float, ...]:
        """Return exactly `count` numbers."""
        found = self.value
        if isinstance(found, Sequence) and not isinstance(found, str) and len(found) == count:
            return self.each(Reader.number)
        self.wrong(f"a list of {count} numbers")
        return (0.0,) * count


def read_alternative(document: Mapping[str, Any], pointer: str = "") -> Alternative:
    """Return one alternative of a plan document.

    Raises
    ------
    InvalidDocument
        If a field the checks need is missing or of another kind; lists every such field.
    """
    faults: list[Fault] = []
    doc = Reader(document, pointer, faults)
    found = Alternative(
        rank=doc["rank"].integer(),
        title=doc["title"].words(),
        table=doc["table"].text(),
        cost=Cost(**{name: doc["cost"][name].integer() for name in Cost.__dataclass_fields__}),
        setup_s=doc["setup_s"].integer(),
        cycle_s=doc["cycle_s"].integer(),
        stations=_stations(doc),
        parts=doc["parts"].each(_part),
        placements=doc["placements"].each(_placement),
        part_contacts=doc["part_contacts"].each(_part_contact),
        welds=doc["welds"].each(_weld),
        load=doc["load"].each(_step),
        findings=(),
        kit=doc["kit"].each(_kit),
        differs=doc["differs"].words(),
        traits=() if doc["traits"].absent else doc["traits"].each(_trait),
        measures=None if doc["measures"].absent else _measures(doc["measures"]),
        changes=None if doc["changes"].absent else doc["changes"].each(_change),
        variants=() if doc["variants"].absent else doc["variants"].each(_variant),
    )
    refuse(faults)
    return found


def _stations(doc: Reader) -> tuple[Station, ...]:
    """Return the one station, or, if the document lists several, each with the way out that names it."""
    if doc["stations"].absent or doc["stations"].value == []:
        return (_station(doc, doc["unload"], None),)
    ways = doc["unload"].value if isinstance(doc["unload"].value, list) else []

    def one(entry: Reader) -> Station:
        number = entry["station"].integer()
        own = [k for k, way in enumerate(ways) if isinstance(way, Mapping) and way.get("station") == number]
        if len(own) != 1:
            doc["unload"].wrong(f"a list with one way out of station {number}")
        way = Reader(ways[own[0]], f"{doc['unload'].pointer}/{own[0]}", doc.faults) if own else doc["unload"]
        return _station(entry, way, number)

    return doc["stations"].each(one)


def _station(reader: Reader, way: Reader, number: int | None) -> Station:
    unload = Unload(way["pull"].each(Reader.text), way["open"].each(Reader.text), way["moves"].each(_move), *_mass(way))
    lie = reader["lie"]
    return Station(number, lie["down"].text(), lie["turn"].number(), _matrix(reader["weldment_to_table"]), unload)


def _variant(reader: Reader) -> VariantPlan:
    given = reader["settings"].value
    names = list(given) if isinstance(given, Mapping) else []
    if not isinstance(given, Mapping):
        reader["settings"].wrong("settings by placement id")
    return VariantPlan(
        name=reader["name"].text(),
        quantity=reader["quantity"].integer(),
        settings={name: reader["settings"][name].number() for name in names},
        reset_s=reader["reset_s"].integer(),
        cycle_s=reader["cycle_s"].integer(),
        station=_station(reader, reader["unload"], None),
        parts=reader["parts"].each(_part),
        placements=reader["placements"].each(_placement),
        part_contacts=reader["part_contacts"].each(_part_contact),
        welds=reader["welds"].each(_weld),
        load=reader["load"].each(_step),
        mirror=None if reader["mirror"].absent else cast(Literal["x", "y"], reader["mirror"].text()),
        shared=None if reader["shared"].absent else reader["shared"].integer(),
    )


def _own_station(reader: Reader) -> int | None:
    """Return the number of the station an entry belongs to, None if it names none."""
    return None if reader["station"].absent else reader["station"].integer()


def _point(reader: Reader) -> Point3:
    return cast(Point3, reader.numbers(3))


def _points(reader: Reader) -> tuple[Point3, ...]:
    points = reader.each(_point)
    if not points:
        reader.wrong("at least one point")
    return points


def _matrix(reader: Reader) -> Matrix:
    rows = reader.each(lambda row: row.numbers(4))
    if len(rows) == 4:
        return cast(Matrix, rows)
    reader.wrong("four rows of four numbers")
    return IDENTITY


def _ring(reader: Reader) -> tuple[tuple[float, float], ...]:
    ring = reader.each(lambda point: cast("tuple[float, float]", point.numbers(2)))
    if len(ring) < 3:
        reader.wrong("at least three points")
        return ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
    return ring


def _prism(reader: Reader) -> Prism:
    return Prism(
        _ring(reader["outline"]),
        reader["from"].number(),
        reader["to"].number(),
        () if reader["cutouts"].absent else reader["cutouts"].each(_ring),
        IDENTITY if reader["frame"].absent else _matrix(reader["frame"]),
        () if reader["cuts"].absent else reader["cuts"].each(_cut),
    )


def _cut(reader: Reader) -> PlaneCut:
    normal = _point(reader["normal"])
    if not any(normal):
        reader["normal"].wrong("a direction")
    return PlaneCut(_point(reader["point"]), normal if any(normal) else (0.0, 0.0, 1.0))


def _part(reader: Reader) -> PlacedPart:
    rests_on = reader["rests_on"].each(Reader.text)
    return PlacedPart(reader["id"].text(), reader["solids"].each(_prism), rests_on, _own_station(reader))


def _contact(reader: Reader) -> PlacedContact:
    return PlacedContact(
        reader["part"].text(), reader["face"].text(), _point(reader["at"]), _point(reader["normal"]), _points(reader["patch"])
    )


def _locates(reader: Reader) -> tuple[str, Role]:
    role = reader["as"]
    if role.value not in get_args(Role):
        role.wrong("support, side or end")
    return reader["part"].text(), cast(Role, role.value)


def _placement(reader: Reader) -> Placement:
    return Placement(
        id=reader["id"].text(),
        item=reader["item"].text(),
        hole=None if reader["hole"].absent else reader["hole"].text(),
        turn=reader["turn"].number(),
        stands_on=None if reader["stands_on"].absent else reader["stands_on"].text(),
        setting_mm=None if reader["setting_mm"].absent else reader["setting_mm"].number(),
        locates=reader["locates"].each(_locates),
        solids=reader["solids"].each(_prism),
        open_solids=None if reader["open_solids"].absent else reader["open_solids"].each(_prism),
        contacts=reader["contacts"].each(_contact),
        why=reader["why"].words(),
        station=_own_station(reader),
    )


def _part_contact(reader: Reader) -> PartContact:
    patch, normal = _points(reader["patch"]), _point(reader["normal"])
    return PartContact(reader["part"].text(), reader["on"].text(), patch, normal, _own_station(reader))


def _weld(reader: Reader) -> WeldSamples:
    samples = reader["samples"].each(lambda sample: (_point(sample["at"]), _point(sample["torch"])))
    return WeldSamples(reader["id"].text(), samples, _own_station(reader))


def _move(reader: Reader) -> Move:
    return Move(_point(reader["direction"]), reader["distance"].number())


def _step(reader: Reader) -> LoadStep:
    moves, then_close = reader["moves"].each(_move), reader["then_close"].each(Reader.text)
    hold = None if reader["hold_by_hand"].absent else reader["hold_by_hand"].text()
    return LoadStep(reader["part"].text(), moves, then_close, _own_station(reader), hold, *_mass(reader))


def _mass(reader: Reader) -> tuple[float | None, bool | None]:
    """Return what something weighs, kg, and whether that is said to be heavy; None where it is not said."""
    mass, heavy = reader["mass_kg"], reader["heavy"]
    return None if mass.absent else mass.number(), None if heavy.absent else heavy.flag()


def _change(reader: Reader) -> Change:
    do = reader["do"]
    if do.value not in get_args(Handling):
        do.wrong("take_off, move, set or add")
    before, after, on_before, on = (
        None if reader[name].absent else reader[name].text() for name in ("hole_before", "hole", "stands_on_before", "stands_on")
    )
    turn, setting = (None if reader[name].absent else reader[name].number() for name in ("turn", "setting_mm"))
    return Change(
        cast(Handling, do.value), reader["piece"].text(), reader["item"].text(), before, after, turn, setting,
        reader["why"].words(), on_before, on,
    )  # fmt: skip


def _kit(reader: Reader) -> KitLine:
    buy = 0 if reader["buy"].absent else reader["buy"].integer()
    return KitLine(reader["item"].text(), reader["count"].integer(), reader["bin"].words(), buy, reader["name"].words())


def _trait(reader: Reader) -> Trait:
    if reader.value not in get_args(Trait):
        reader.wrong(", ".join(get_args(Trait)))
    return cast(Trait, reader.value)


def _measures(reader: Reader) -> Measures:
    return Measures(
        reader["pieces"].integer(),
        reader["locating_error_mm"].number(),
        reader["stiffness_n_per_mm"].number(),
        reader["scarcity"].number(),
    )


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
