"""Rule books on the wire: what differs from a base."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, PrivateAttr
from pydantic import model_validator as validator

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from service.documents.reading.fields import MM_PER, Document, Id, Units, UpTo, domain
from service.documents.reading.reading import Reading
from service.documents.reading.text import token
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook
from solver.rule_book.record import Rule

FORMAT = "holdwright.rules/1"
EXAMPLE: dict[str, Any] = {"format": FORMAT, "base": "default", "set": {"weights.adjustable": 50, "clear.weld": 20}}
DEFAULT = "default"
BOOKS: Mapping[str, RuleBook] = {DEFAULT: RuleBook()}


class RulesDocument(Document):
    """A rule book: a base, and the rules that differ from it.

    `units: inch` converts the rules whose unit is mm; no other rule is converted.
    """

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.rules/1"], Field(description=f'"{FORMAT}"; may be left out inside a request')] = (
        "holdwright.rules/1"
    )
    units: Annotated[Units, Field(description="unit of the rules that are lengths: mm or inch")] = "mm"
    base: Annotated[Id, Field(description="the rule book this one starts from")] = DEFAULT
    set: Annotated[
        dict[str, float],
        UpTo(limits.ITEMS),
        Field(default_factory=dict, description="rules that differ, by dotted name, in their own unit"),
    ]

    _changes: dict[str, float] = PrivateAttr()

    @validator(mode="after")
    def _self_consistent(self) -> RulesDocument:
        self._changes = _in_mm(self.set, self.units)
        domain(self._built)
        return self

    def _built(self) -> RuleBook:
        return _judged(self._changes)

    def on(self, base: RuleBook) -> RuleBook:
        """Return the rule book these changes make of their base."""
        return RuleBook({**base.changes, **self._changes}, self.base, base.version)


def _in_mm(changes: Mapping[str, float], units: Any) -> dict[str, float]:
    """Return rules with the lengths among them, those whose unit is mm, converted."""
    scale = MM_PER.get(units, 1.0) if isinstance(units, str) else 1.0
    return {name: value * scale if name in VALUES and VALUES[name].unit == "mm" else value for name, value in changes.items()}


def _judged(changes: Mapping[str, float]) -> RuleBook:
    try:
        return RuleBook(changes)
    except InvalidDocument as refusal:
        raise InvalidDocument(_with_nearest(fault) for fault in refusal.faults) from None


def examine_rules(reading: Reading[Any], at: str, books: Mapping[str, RuleBook]) -> None:
    """Check the base of the rule book at a pointer, and every rule that is sound by itself."""
    reading.add(unknown_base(reading.at(f"{at}/base"), books), f"{at}/base")
    given = reading.at(f"{at}/set")
    if isinstance(given, dict) and len(given) <= 2 * limits.ITEMS:
        sound = {name: value for name, value in given.items() if reading.sound(f"{at}/set/{token(name)}")}
        reading.made(lambda: _judged(_in_mm(sound, reading.at(f"{at}/units"))), at)


def _with_nearest(fault: Fault) -> Fault:
    """Return a fault below `set`, and with the nearest name where there is no such rule."""
    name = fault.pointer[1:]
    accepted = fault.accepted if name in VALUES else limits.suggestion(name, VALUES, "a rule of the rule book")
    return Fault("/set" + fault.pointer, fault.wrong, accepted)


def read_rules(raw: bytes | str | dict[str, Any], books: Mapping[str, RuleBook] = BOOKS) -> RuleBook:
    """Read a rule book document.

    Parameters
    ----------
    raw : bytes, str or dict
        The document.
    books : mapping
        Rule books it may start from, by name.

    Raises
    ------
    InvalidDocument
        With every fault: unknown rules, values out of range, an unknown base.
    """
    reading = Reading(raw, RulesDocument)
    examine_rules(reading, "", books)
    reading.finish()
    assert reading.document is not None
    return reading.document.on(books[reading.document.base])


def unknown_base(base: Any, books: Mapping[str, RuleBook]) -> list[Fault]:
    """Return a fault if a rule book starts from one that is not there."""
    if not isinstance(base, str) or base in books:
        return []
    return [Fault("", f"there is no rule book {limits.shown(base)}", limits.suggestion(base, books, "a rule book"))]


def rules_document(rules: RuleBook) -> dict[str, Any]:
    """Return a rule book as the document it is read from, in mm."""
    return {"format": FORMAT, "base": DEFAULT, "set": dict(rules.changes)}


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
