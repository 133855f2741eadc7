"""Rule books on the wire: what differs from a base."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, PrivateAttr
from pydantic import model_validator as validator

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from service.documents.reading.fields import MM_PER, Document, Id, Units, UpTo, Whole, Within, domain
from service.documents.reading.reading import Reading
from service.documents.reading.text import token
from service.documents.rule_books.known_books import BUILT_IN, DEFAULT, Books
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook
from solver.rule_book.record import Rule

FORMAT = "holdwright.rules/1"
VERSIONS = limits.Limit(1, 1_000_000, "versions", whole=True)
EXAMPLE: dict[str, Any] = {"format": FORMAT, "base": "default", "set": {"weights.adjustable": 50, "clear.weld": 20}}


class RulesDocument(Document):
    """A rule book: a base, and the rules that differ from it.

    `units: inch` converts the rules whose unit is mm; no other rule is converted. A request that was taken in has its base in
    full.
    """

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.rules/1"], Field(description=f'"{FORMAT}"; may be left out inside a request')] = (
        "holdwright.rules/1"
    )
    units: Annotated[Units, Field(description="unit of the rules that are lengths: mm or inch")] = "mm"
    base: Annotated[
        Id | None,
        Field(description='the rule book this one starts from; "default": the built-in numbers; absent: the one the shop uses'),
    ] = None
    version: Annotated[Whole | None, Within(VERSIONS), Field(description="version of that book; absent: its newest")] = None
    base_set: Annotated[
        dict[str, float] | None,
        UpTo(limits.ITEMS),
        Field(
            description="all that version changes of the built-in numbers; written when a request is taken in, compared if given"
        ),
    ] = None
    set: Annotated[
        dict[str, float],
        UpTo(limits.ITEMS),
        Field(default_factory=dict, description="rules that differ, by dotted name, in their own unit"),
    ]

    _changes: dict[str, float] = PrivateAttr()
    _base_changes: dict[str, float] | None = PrivateAttr()

    @validator(mode="after")
    def _self_consistent(self) -> RulesDocument:
        self._changes = in_mm(self.set, self.units)
        self._base_changes = None if self.base_set is None else in_mm(self.base_set, self.units)
        domain(lambda: judged(self._changes))
        domain(lambda: judged(self._base_changes or {}, "/base_set"))
        return self

    @property
    def changes(self) -> Mapping[str, float]:
        """What differs from the base, lengths in mm."""
        return self._changes

    def start(self, books: Books) -> RuleBook:
        """Return the book it starts from; raises InvalidDocument."""
        return books.base(self.base, self.version, self._base_changes)

    def on(self, base: RuleBook) -> RuleBook:
        """Return the rule book these changes make of their base."""
        return RuleBook({**base.changes, **self._changes}, base.base, base.version)


def in_mm(changes: Mapping[str, float], units: Any) -> dict[str, float]:
    """Return rules with the lengths among them, those whose unit is mm, converted."""
    scale = MM_PER.get(units, 1.0) if isinstance(units, str) else 1.0
    return {name: value * scale if name in VALUES and VALUES[name].unit == "mm" else value for name, value in changes.items()}


def judged(changes: Mapping[str, float], at: str = "/set") -> RuleBook:
    """Return the rule book of some changes; raises InvalidDocument with its faults below `at`."""
    try:
        return RuleBook(changes)
    except InvalidDocument as refusal:
        raise InvalidDocument(_with_nearest(fault, at) for fault in refusal.faults) from None


def examine_rules(reading: Reading[Any], at: str, books: Books) -> None:
    """Check the base of the rule book at a pointer, and every rule that is sound by itself."""
    base, version, base_set = (reading.at(f"{at}/{name}") for name in ("base", "version", "base_set"))
    whole = isinstance(version, int | float) and reading.sound(f"{at}/version")
    if (base is None or isinstance(base, str)) and reading.sound(f"{at}/base") and (version is None or whole):
        changes = in_mm(base_set, reading.at(f"{at}/units")) if base_set and reading.sound(f"{at}/base_set") else base_set
        reading.made(lambda: books.base(base, None if version is None else int(version), changes), at)
    given = reading.at(f"{at}/set")
    if isinstance(given, dict) and len(given) <= 2 * limits.ITEMS:
        sound = {name: value for name, value in given.items() if reading.sound(f"{at}/set/{token(name)}")}
        reading.made(lambda: judged(in_mm(sound, reading.at(f"{at}/units"))), at)


def _with_nearest(fault: Fault, at: str) -> Fault:
    """Return a fault below `at`, and with the nearest name where there is no such rule."""
    name = fault.pointer[1:]
    accepted = fault.accepted if name in VALUES else limits.suggestion(name, VALUES, "a rule of the rule book")
    return Fault(at + fault.pointer, fault.wrong, accepted)


def read_rules(raw: bytes | str | dict[str, Any], books: Books = BUILT_IN) -> RuleBook:
    """Read a rule book document.

    Parameters
    ----------
    raw : bytes, str or dict
        The document.
    books : Books
        Rule books it may start from.

    Raises
    ------
    InvalidDocument
        With every fault: unknown rules, values out of range, an unknown base.
    """
    reading = Reading(raw, RulesDocument)
    examine_rules(reading, "", books)
    reading.finish()
    assert reading.document is not None
    return reading.document.on(reading.document.start(books))


def settled_rules(given: Any, books: Books) -> dict[str, Any] | None:
    """Return the rules of a sound request with their base in full, so that no later version changes what they say.

    Parameters
    ----------
    given : dict or None
        `rules` of the request, None if it has none.

    Returns
    -------
    dict or None
        None: they start from the built-in numbers, and say all there is to say.
    """
    document = RulesDocument.model_validate({} if given is None else given)
    base = document.start(books)
    if base.base == DEFAULT:
        return None
    named = {"format": FORMAT, "base": base.base, "version": base.version, "base_set": dict(base.changes)}
    return {**named, "set": dict(document.changes)}


def rules_document(rules: RuleBook) -> dict[str, Any]:
    """Return a rule book as the document it is read from, in mm."""
    if rules.base == DEFAULT:
        return {"format": FORMAT, "base": DEFAULT, "set": dict(rules.changes)}
    return {"format": FORMAT, "base": rules.base, "version": rules.version, "base_set": dict(rules.changes), "set": {}}


def rule_document(rule: Rule) -> dict[str, Any]:
    """Return one record of the rule book as plain JSON values; null where the record has nothing to say."""
    value, hindrance, relaxation, finding = rule.value, rule.hindrance, rule.relaxation, rule.finding
    return {
        "name": rule.name,
        "default": value and value.default,
        "unit": value and value.unit,
        "low": value and value.low,
        "high": value and value.high,
        "meaning": rule.meaning,
        "source": value and value.source,
        "as_a_reason": hindrance and (hindrance.meaning or rule.meaning),
        "remedy": hindrance and hindrance.remedy,
        "relax_to": relaxation and relaxation.most,
        "relax_first": list(hindrance.suspects) if hindrance else [],
        "remedy_if_broken": rule.if_broken or None,
        "checked_as": [*([rule.name] if rule.if_broken else []), *rule.checked_as],
        "shown_under": finding and finding.group,
    }
