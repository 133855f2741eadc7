"""The request document: a weldment, a quantity, dates, and what may be used."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Discriminator, Field, Tag

from inventory import limits
from inventory.errors import Fault
from inventory.limits import shown
from inventory.stock import StockSnapshot
from inventory.tables import hole_label
from service.documents import weldment as weldments
from service.documents.pins.piece_document import PieceDocument, described_pieces, piece_document
from service.documents.plan_document import alternative_document
from service.documents.plan_schema.alternative import AlternativeDocument
from service.documents.reading.fields import Day, Document, Id, Turn, UpTo, Whole, Within, word_or_number
from service.documents.reading.reading import Reading
from service.documents.rule_books.known_books import BUILT_IN, DEFAULT, Books
from service.documents.rules import RulesDocument, examine_rules
from service.documents.stored_weldments.stored_version import WeldmentNameDocument, nowhere_to_look
from service.documents.usable.usable_pieces import HELD, HeldPieces, WithoutDocument, read_held, read_without
from service.documents.variants.asked_variants import (
    VariantDocument,
    names_given_twice,
    read_variants,
    variant_documents,
)
from service.documents.weldment import NamedOrWhole, WeldmentDocument, examine
from solver.described_pieces import MOST, DescribedPiece
from solver.plans import Alternative
from solver.request import Down, Request, Shortage, Without
from solver.rule_book.book import RuleBook
from solver.sections import Section
from solver.variants import MOST as MOST_VARIANTS
from solver.variants import Variant
from solver.weldment import Part, Pose, Weldment

FORMAT = "holdwright.request/1"
EXAMPLE: dict[str, Any] = {
    "format": FORMAT, "weldment": weldments.EXAMPLE, "quantity": 120, "needed": {"from": "2027-03-01", "to": "2027-03-03"},
    "today": None, "tables": ["T1"], "lie": {"down": ["-z"], "turn": [0, 90, 180, 270]}, "stations": 1, "set_before": False,
    "rules": {"base": "default", "set": {"weights.adjustable": 50}},
    "without": {"items": {"adj-25": 2}, "holes": ["C9", "T1/B4"]},
    "held": {}, "shortage": "refuse", "keep": None,
    "pins": [{"item": "square-60", "part": "post"}], "avoid": [{"row": 3}], "variants": [],
    "alternatives": 5, "time_limit_s": 20, "work_limit": None, "seed": 1,
}  # fmt: skip


class NeededDocument(Document):
    """Calendar days the hardware is held, both ends included."""

    start: Annotated[Day, Field(alias="from", description="first day, YYYY-MM-DD")]
    end: Annotated[Day, Field(alias="to", description="last day, YYYY-MM-DD, not before the first")]


class LieDocument(Document):
    """How the weldment may lie."""

    down: Annotated[
        list[Down], UpTo(6, 1), Field(default_factory=lambda: ["-z"], description="sides that may face the table; -z = as drawn")
    ]
    turn: Annotated[
        list[Turn],
        UpTo(360, 1),
        Field(
            default_factory=lambda: [0.0, 90.0, 180.0, 270.0], description="turns about the table's +z that may follow, degrees"
        ),
    ]


class KeepDocument(Document):
    """An alternative of an earlier plan, by the plan's id and its rank there."""

    plan: Annotated[Id, Field(description="id of the plan")]
    rank: Annotated[Whole, Within(limits.RANK), Field(description="rank of the alternative in it")]


def _kept(value: Any) -> str:
    if isinstance(value, KeepDocument) or (isinstance(value, dict) and "placements" not in value):
        return "reference"
    return "none" if value is None else "alternative"


class ProvedDocument(Document):
    """What a plan for the same request, or one that allowed more, proved; counts with the same stock and rule book alone."""

    cents: Annotated[Whole, Within(limits.CENTS), Field(description="what every fixture costs at least, moves not counted")]
    stock_version: Annotated[Whole, Field(description="the stock's version it was proved with")]
    rules_version: Annotated[Whole, Field(description="the rule book's version it was proved with")]
    rules_book: Annotated[Id, Field(description="the rule book it was proved with")] = DEFAULT


class RequestDocument(Document):
    """Everything one planning run depends on, besides the stock."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.request/1"], Field(description=f'"{FORMAT}"')]
    weldment: Annotated[
        NamedOrWhole, Field(description="what is to be held: a weldment document, or a stored weldment by its id and version")
    ]
    quantity: Annotated[Whole, Within(limits.QUANTITY), Field(description="how many weldments, 1 to 10,000,000")]
    needed: Annotated[NeededDocument | None, Field(description="days the hardware is held; absent = one day")] = None
    today: Annotated[Day | None, Field(description="today's date; null = lead times are not checked")] = None
    tables: Annotated[list[Id], UpTo(limits.TABLES, 1), Field(description="ids of the tables that may be used")]
    lie: Annotated[LieDocument, Field(default_factory=LieDocument, description="how the weldment may lie")]
    stations: Annotated[
        Annotated[Whole, Within(limits.STATIONS), Tag("number")] | Annotated[Literal["best"], Tag("word")],
        Discriminator(word_or_number),
        Field(description='equal fixtures on the table, a number or "best"'),
    ] = 1
    set_before: Annotated[bool, Field(description="whether this plan was set before")] = False
    rules: Annotated[
        RulesDocument, Field(default_factory=RulesDocument, description="rule book: a base and what differs from it")
    ]
    without: Annotated[
        WithoutDocument, Field(default_factory=WithoutDocument, description="pieces and holes that may not be used")
    ]
    held: Annotated[HeldPieces, Field(default_factory=dict, description=HELD)]
    shortage: Annotated[Shortage, Field(description="refuse: only what is free; price: missing pieces are bought")] = "refuse"
    keep: Annotated[
        Annotated[KeepDocument, Tag("reference")]
        | Annotated[AlternativeDocument, Tag("alternative")]
        | Annotated[None, Tag("none")],
        Discriminator(_kept),
        Field(description="alternative to change as little of as possible, by plan id and rank or in full"),
    ] = None
    pins: Annotated[
        list[PieceDocument], UpTo(MOST), Field(default_factory=list, description="pieces that every alternative must contain")
    ]
    avoid: Annotated[
        list[PieceDocument], UpTo(MOST), Field(default_factory=list, description="pieces that no alternative may contain")
    ]
    variants: Annotated[
        list[VariantDocument],
        UpTo(MOST_VARIANTS),
        Field(default_factory=list, description="other sizes of the weldment, or its mirror image, run on the same set-up"),
    ]
    alternatives: Annotated[Whole, Within(limits.ALTERNATIVES), Field(description="how many ranked alternatives to look for")] = 5
    time_limit_s: Annotated[float, Within(limits.TIME_LIMIT), Field(description="the wall clock's safety net, s")] = 20.0
    work_limit: Annotated[
        Annotated[float, Within(limits.WORK_LIMIT)] | None, Field(description="limit in the solver's deterministic units")
    ] = None
    seed: Annotated[Whole, Within(limits.SEED), Field(description="seed; the same seed gives the same answer")] = 1
    proved: Annotated[
        ProvedDocument | None, Field(description="what an earlier plan proved that every fixture costs at least; taken as given")
    ] = None


Warnings = list[str]
FindAlternative = Callable[[str, int], Alternative | None]
"""Returns an alternative by its plan's id and its rank, None if there is none; may raise InvalidDocument."""
_STAND_IN = Weldment((Part("part", Section("round_bar", diameter=10.0), 10.0, Pose((0, 0, 0), (0, 0, 1), (0, 1, 0))),))
"""What a request is judged with while its own weldment is at fault."""


def read_request(
    raw: bytes | str | dict[str, Any],
    stock: StockSnapshot | None = None,
    books: Books = BUILT_IN,
    find_alternative: FindAlternative | None = None,
) -> tuple[Request, Warnings]:
    """Read a request document.

    Parameters
    ----------
    raw : bytes, str or dict
        The document, up to 1 MB.
    stock : StockSnapshot, optional
        What its tables, items and holes are looked up in; without it they are not judged.
    books : Books
        Rule books it may start from.
    find_alternative : callable, optional
        Where an alternative to keep is looked up that is named by plan and rank; without it, it must be there in full.

    Returns
    -------
    (Request, list of str)
        What is odd but harmless is said in the list.

    Raises
    ------
    InvalidDocument
        With every fault of the whole document.
    """
    reading = Reading(raw, RequestDocument)
    rules = _rules(reading, books)
    examine(reading, "/weldment", rules["fit.overlap"])
    reading.add(_kept_faults(reading))
    keep = _keep(reading, find_alternative)
    for pointer, what in (("/lie/down", "side"), ("/lie/turn", "turn"), ("/tables", "table")):
        reading.add(_repeated(reading, pointer, what))
    held = read_held(reading, stock)
    without, warnings = read_without(reading, _sound_tables(reading), held, stock)
    pins, avoid = (described_pieces(reading, f"/{name}", stock, _sound_tables(reading), keep) for name in ("pins", "avoid"))
    variants = read_variants(reading, _weldment(reading), rules["fit.overlap"])
    reading.add(names_given_twice(reading))
    request = reading.made(lambda: _request(reading, rules, without, held, keep, pins, avoid, variants, stock))
    reading.finish()
    assert request is not None
    return request, warnings


def _repeated(reading: Reading[RequestDocument], pointer: str, what: str) -> Iterator[Fault]:
    """Yield entries of a list given twice, whatever else is at fault in it."""
    entries = ((f"{pointer}/{k}", entry) for k, entry in enumerate(reading.entries(pointer)[: 2 * limits.TABLES]))
    yield from limits.repeated_faults(((at, entry if reading.sound(at) else None) for at, entry in entries), what)


def _rules(reading: Reading[RequestDocument], books: Books) -> RuleBook:
    """Return the rule book of the request, the built-in numbers while the request's own is at fault."""
    examine_rules(reading, "/rules", books)
    given = reading.sound_model("/rules", RulesDocument)
    if given is None:
        return RuleBook() if reading.at("/rules") is not None else books.base(None, None, None)
    return reading.made(lambda: given.on(given.start(books)), "/rules") or RuleBook()


def _request(
    reading: Reading[RequestDocument], rules: RuleBook, without: Without, held: Mapping[str, int], keep: Alternative | None,
    pins: tuple[DescribedPiece, ...], avoid: tuple[DescribedPiece, ...], variants: tuple[Variant, ...],
    stock: StockSnapshot | None,
) -> Request:  # fmt: skip
    """Return the request, with a stand-in for every field that is at fault; only a request without faults gets out."""
    document, weldment = reading.document, _weldment(reading)
    figures = {"quantity": 1} if document is None else {field: getattr(document, field) for field in _PLAIN}
    lie = reading.sound_model("/lie", LieDocument) or LieDocument.model_validate({})
    needed = reading.sound_model("/needed", NeededDocument)
    return Request(
        weldment=weldment or _STAND_IN,
        tables=tuple(_sound_tables(reading)),
        needed=None if needed is None else (needed.start, needed.end),
        down=tuple(lie.down),
        turn=tuple(lie.turn),
        rules=rules,
        without=without,
        held=held,
        keep=keep,
        pins=() if weldment is None else pins,
        avoid=() if weldment is None else avoid,
        variants=() if weldment is None else variants,
        proved_cents=_proved_cents(reading, rules, stock),
        **figures,
    )


def _weldment(reading: Reading[RequestDocument]) -> Weldment | None:
    """Return the request's own weldment, None while it is at fault."""
    document = reading.document
    drawn = document.weldment if document is not None else reading.sound_model("/weldment", WeldmentDocument)
    if isinstance(drawn, WeldmentNameDocument):
        reading.add(nowhere_to_look(reading.faults, "/weldment", drawn.id))
        return None
    return None if drawn is None else reading.made(drawn.to_domain, "/weldment")


_PLAIN = (
    "quantity", "today", "stations", "set_before", "shortage", "alternatives", "time_limit_s", "work_limit", "seed",
)  # fmt: skip


def _proved_cents(reading: Reading[RequestDocument], rules: RuleBook, stock: StockSnapshot | None) -> int:
    """Return what an earlier plan proved, cents; 0 if it was proved with another stock or rule book."""
    proved = reading.sound_model("/proved", ProvedDocument)
    if proved is None or stock is None:
        return 0
    with_same = (proved.stock_version, proved.rules_book, proved.rules_version) == (stock.version, rules.base, rules.version)
    return proved.cents if with_same else 0


def _sound_tables(reading: Reading[RequestDocument]) -> list[str]:
    """Return the table ids; one that is at fault by itself is replaced by one that repeats none."""
    given = reading.at("/tables")
    if not isinstance(given, list) or len(given) > 2 * limits.TABLES:
        return ["?"]
    return [id if reading.sound(f"/tables/{k}") else f"?{k}" for k, id in enumerate(given)]


def _kept_faults(reading: Reading[RequestDocument]) -> Iterator[Fault]:
    """Yield placements of the kept alternative that are named like a part of this weldment."""
    parts = _part_ids(reading)
    for k, placement in enumerate(reading.entries("/keep/placements")):
        id = placement.get("id") if isinstance(placement, dict) else None
        if isinstance(id, str) and id in parts:
            yield Fault(f"/keep/placements/{k}/id", f"{shown(id)} is also the id of a part", "a placement id no part has")


def _part_ids(reading: Reading[RequestDocument]) -> list[Any]:
    return [part.get("id") for part in reading.entries("/weldment/parts") if isinstance(part, dict)]


def _keep(reading: Reading[RequestDocument], find_alternative: FindAlternative | None) -> Alternative | None:
    """Return the alternative to keep, looked up if it is named by plan and rank; None if there is none or it is at fault."""
    if _kept(reading.at("/keep")) == "alternative":
        full = reading.sound_model("/keep", AlternativeDocument)
        return None if full is None else reading.made(full.to_domain, "/keep")
    named = reading.sound_model("/keep", KeepDocument)
    if named is None:
        return None
    if find_alternative is None:
        reading.add([Fault("/keep", "there are no plans to look in here", "an alternative in full")])
        return None
    found = reading.made(lambda: find_alternative(named.plan, named.rank))
    if found is None and reading.sound("/keep"):
        reading.add([no_such_alternative(named.plan, named.rank)])
    parts = _part_ids(reading)
    for placement in () if found is None else found.placements:
        if placement.id in parts:
            reading.add([Fault("/keep", f"{shown(placement.id)} is a placement there and a part here", "other part ids")])
    return found


def no_such_alternative(plan: object, rank: object) -> Fault:
    """Return the fault of a `keep` that names nothing."""
    accepted = "a finished plan of this store and one of its ranks, or an alternative in full"
    return Fault("/keep", f"there is no alternative {f'plan {plan!r}, rank {rank!r}'[:150]}", accepted)


def request_document(request: Request) -> dict[str, Any]:
    """Return a request as the document it is read from, in mm."""
    holes = sorted(request.without.holes, key=lambda entry: (entry[0] or "", entry[1]))
    needed = request.needed
    return {
        "format": FORMAT,
        "weldment": weldments.weldment_document(request.weldment),
        "tables": list(request.tables),
        "needed": None if needed is None else {"from": needed[0].isoformat(), "to": needed[1].isoformat()},
        "lie": {"down": list(request.down), "turn": list(request.turn)},
        "rules": {"base": DEFAULT, "set": dict(request.rules.changes)},
        "without": {
            "items": dict(request.without.items),
            "holes": [hole_label(hole) if table is None else f"{table}/{hole_label(hole)}" for table, hole in holes],
            "broken": dict(request.without.broken),
        },
        "held": dict(request.held),
        "keep": None if request.keep is None else alternative_document(request.keep),
        "pins": [piece_document(described) for described in request.pins],
        "avoid": [piece_document(described) for described in request.avoid],
        "variants": variant_documents(request.variants),
        **{field: getattr(request, field) for field in _PLAIN},
        "today": None if request.today is None else request.today.isoformat(),
    }
