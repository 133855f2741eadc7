"""Which rule books a document may start from: the built-in numbers alone, or those a store keeps too."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, Protocol

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown, suggestion
from solver.rule_book.book import RuleBook

DEFAULT = "default"
"""The name under which a document means the built-in numbers."""
BookKind = Literal["shop", "customer"]
"""Whose numbers a kept book has."""
BookReference = tuple[str, int | None]
"""A kept book's name, and a version's number; None: its newest."""


class Books(Protocol):
    """Whoever knows what a rule book says."""

    def base(self, name: str | None, version: int | None, changes: Mapping[str, float] | None) -> RuleBook:
        """Return the rule book a document starts from.

        Parameters
        ----------
        name : str or None
            None: the one in use.
        version : int or None
            None: the newest.
        changes : mapping or None
            What the document says that book changes of the built-in numbers; None: it does not say.

        Raises
        ------
        InvalidDocument
            Below ``/base``, ``/version`` and ``/base_set``: there is no such book or version, or it says something else.
        """
        ...


@dataclass(frozen=True, slots=True)
class BuiltInBook:
    """The built-in numbers and no others; where a document has a kept book in full, it is taken as it is."""

    def base(self, name: str | None, version: int | None, changes: Mapping[str, float] | None) -> RuleBook:
        """Return the built-in numbers, or the book a document has in full; raises InvalidDocument."""
        if name is None or name == DEFAULT:
            return _built_in(name, version, changes)
        if version is not None and changes is not None:
            return RuleBook(changes, name, version)
        accepted = f"'{DEFAULT}'; other rule books are kept in a store, which --db names"
        raise InvalidDocument([Fault("/base", f"there is no rule book {shown(name)} here", accepted)])


BUILT_IN = BuiltInBook()


@dataclass(frozen=True, slots=True)
class KnownBooks:
    """The rule books of a store, those in full that were looked up.

    Parameters
    ----------
    newest : mapping
        The number of the newest version of every book, by its name.
    in_use : RuleBook
        What counts where a document names no book.
    found : mapping
        Books by name and number; a sound reference to any other is a mistake of whoever looked them up.
    """

    newest: Mapping[str, int] = field(default_factory=dict)
    in_use: RuleBook = field(default_factory=RuleBook)
    found: Mapping[tuple[str, int], RuleBook] = field(default_factory=dict)

    def base(self, name: str | None, version: int | None, changes: Mapping[str, float] | None) -> RuleBook:
        """Return the rule book a document starts from; raises InvalidDocument."""
        if name is None or name == DEFAULT:
            return _built_in(name, version, changes, self.in_use)
        if name not in self.newest:
            accepted = suggestion(name, [DEFAULT, *self.newest], "a rule book")
            raise InvalidDocument([Fault("/base", f"there is no rule book {shown(name)}", accepted)])
        number = self.number(name, version)
        if number is None:
            raise InvalidDocument([_no_version(name, version, self.newest[name])])
        book = self.found[name, number]
        _refuse_other(book, changes)
        return book

    def number(self, name: str, version: int | None) -> int | None:
        """Return the number a reference to a kept book comes down to, None if there is none such."""
        newest = self.newest.get(name, 0)
        number = newest if version is None else version
        return number if 1 <= number <= newest else None

    def not_found_yet(self, references: Iterable[BookReference]) -> list[tuple[str, int]]:
        """Return the books among these, by name and number, that are there and have not been looked up."""
        numbered = {(name, self.number(name, version)) for name, version in references}
        return sorted((name, number) for name, number in numbered if number is not None and (name, number) not in self.found)


def references_in(requests: Iterable[Any]) -> list[BookReference]:
    """Return the kept books that request documents name, as far as they can be read."""
    found: list[BookReference] = []
    for request in requests:
        rules = request.get("rules") if isinstance(request, Mapping) else None
        name, version = (rules.get("base"), rules.get("version")) if isinstance(rules, Mapping) else (None, None)
        if isinstance(name, str) and name != DEFAULT:
            found.append((name, int(version) if isinstance(version, int | float) and float(version).is_integer() else None))
    return found


def as_planned(request: Any, plan: Mapping[str, Any]) -> Any:
    """Return a request document that names the rule book and the version of a plan made for it, unless it names others."""
    book, version = plan.get("rules_book", DEFAULT), plan.get("rules_version")
    rules = request.get("rules") if isinstance(request, Mapping) else None
    if not isinstance(request, Mapping) or not isinstance(book, str) or not isinstance(rules, Mapping | None):
        return request
    there = {} if rules is None else rules
    if there.get("base") not in (None, book) or there.get("version") is not None:
        return request
    numbered = {} if book == DEFAULT or not isinstance(version, int) else {"version": version}
    return {**request, "rules": {**there, "base": book, **numbered}}


def _built_in(
    name: str | None, version: int | None, changes: Mapping[str, float] | None, in_use: RuleBook | None = None
) -> RuleBook:  # fmt: skip
    if name is None and (version is not None or changes is not None):
        at = "/version" if version is not None else "/base_set"
        raise InvalidDocument([Fault(at, "no rule book is named that it could be of", "`base` beside it")])
    book = RuleBook() if name == DEFAULT or in_use is None else in_use
    if version not in (None, book.version):
        raise InvalidDocument([_no_version(DEFAULT, version, book.version)])
    _refuse_other(book, changes)
    return book


def _no_version(name: str, version: int | None, newest: int) -> Fault:
    accepted = "1, or none" if newest == 1 else f"1 to {newest}, or none for the newest"
    return Fault("/version", f"rule book {shown(name)} has no version {version}", accepted)


def _refuse_other(book: RuleBook, changes: Mapping[str, float] | None) -> None:
    if changes is not None and dict(changes) != dict(book.changes):
        wrong = f"version {book.version} of rule book {shown(book.base)} says something else"
        raise InvalidDocument([Fault("/base_set", wrong, "what it says, or no `base_set`")])
