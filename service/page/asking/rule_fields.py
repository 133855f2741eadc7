"""Rules as fields of the Ask screen: those that matter most, those a draft changes, and whichever is looked for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from inventory.errors import InvalidDocument
from inventory.limits import plain
from service.documents.rule_books.known_books import DEFAULT
from service.page.forms import Form
from service.page.rules.found_rules import ShownRule, figure, found_rules, shown_rule
from service.weldments.lengths import read_number, typed
from solver.rule_book import BY_NAME, VALUES
from solver.rule_book.book import RuleBook

FIELD = "rule-"
"""What the names of their fields begin with."""
MATTER_MOST: tuple[tuple[str, str], ...] = (
    ("rate.labour_cents_per_hour", "Labour"),
    ("weights.adjustable", "Weight of each setting"),
    ("clear.weld", "Hardware to weld"),
    ("clear.weld_locator", "Locator to weld"),
    ("torch.nozzle_diameter", "Torch diameter"),
    ("torch.work_tolerance", "Torch off the bisector"),
    ("clamp.per_length", "One clamp per length"),
    ("hold.handling_n", "Push that is held"),
    ("locate.tolerance_share", "Locating's share of a tolerance"),
    ("alternatives.kit_pieces", "Pieces alternatives differ by"),
)
"""The rules a planner changes most, each with a short name."""
_MOST_FOUND = 12


@dataclass(frozen=True, slots=True)
class RuleField:
    """A rule with the label of its field, and what it is where the field stays empty, in words."""

    rule: ShownRule
    label: str
    otherwise: str

    @property
    def name(self) -> str:
        """The field's name."""
        return FIELD + self.rule.name


def main_rules(book: RuleBook) -> tuple[RuleField, ...]:
    """Return the rules that matter most, as fields of a draft that starts from a rule book."""
    return tuple(_field(name, label, book) for name, label in MATTER_MOST)


def other_rules(names: Iterable[str], book: RuleBook) -> tuple[RuleField, ...]:
    """Return rules by name that have a number and do not stand among those that matter most."""
    main = {name for name, _ in MATTER_MOST}
    wanted = [name for name in VALUES if name in set(names) - main]
    return tuple(_field(name, name, book) for name in wanted)


def sought_rules(sought: str, shown: Iterable[str], book: RuleBook) -> tuple[tuple[RuleField, ...], int]:
    """Return the first rules found that have no field yet, and how many more there are.

    Parameters
    ----------
    shown : iterable of str
        The rules that have their field on the screen already.
    """
    if not sought.strip():
        return (), 0
    names = [rule.name for topic in found_rules(sought) for rule in topic.numbered]
    fields = other_rules(set(names) - set(shown), book)
    return fields[:_MOST_FOUND], max(0, len(fields) - _MOST_FOUND)


def rule_fields(rules: Mapping[str, float]) -> dict[str, str]:
    """Return what stands in the fields of rules that a draft changes."""
    return {name: typed(value) for name, value in rules.items()}


def changed_in(form: Form) -> list[str]:
    """Return the rules whose field in a form holds something."""
    return [name.removeprefix(FIELD) for name in form.names() if name.startswith(FIELD) and form.raw(name).strip()]


def read_rules(form: Form) -> dict[str, float]:
    """Return the rules that a form changes; one whose field is empty is as it is in the rule book."""
    found: dict[str, float] = {}
    for name in changed_in(form):
        value = VALUES.get(name)
        if value is None:
            form.fault(f"{FIELD}{name}", f"there is no rule {name!r}"[:100], "a rule of the rule book with a number")
            continue
        accepted = f"a number from {plain(value.low)} to {plain(value.high)} {'' if value.unit == '-' else value.unit}".rstrip()
        try:
            number = read_number(form.raw(f"{FIELD}{name}"), f"/{FIELD}{name}", accepted)
        except InvalidDocument as bad:
            form.faults += bad.faults
            continue
        if not value.low <= number <= value.high:
            form.fault(f"{FIELD}{name}", f"{plain(number)} is out of range", accepted)
        else:
            found[name] = number
    return found


def _field(name: str, label: str, book: RuleBook) -> RuleField:
    whose = "by default" if book.base == DEFAULT else f"in rule book {book.base}, version {book.version}"
    return RuleField(shown_rule(BY_NAME[name]), label, f"{figure(book[name])} {whose}")
