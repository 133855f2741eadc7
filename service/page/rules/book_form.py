"""The form that keeps changed rules as a new version of a rule book."""

from __future__ import annotations

import re
from collections.abc import Mapping

from starlette.requests import Request

from inventory.errors import Fault, HoldwrightError, InvalidDocument
from inventory.limits import shown
from inventory.store import Connection, Note
from inventory.store.errors import AlreadyThere, KeyReused, NotFound, Stale
from inventory.store.notes import LONGEST_WHY
from service.http.replies import Reply
from service.http.writes import Write
from service.page.forms import Form
from service.page.rules.changed_rules import AS_TYPED, LONGEST, read_changes
from service.page.rules.kept_books import NEW
from service.page.writes import at_fields, signature
from service.rule_books.changes import BookChange, add_version, make_book

REFUSED = (InvalidDocument, AlreadyThere, KeyReused, NotFound, Stale)
"""What refuses a version for a reason that whoever asked can do something about."""
_FIELDS = {f"/{name}": name for name in ("change", "name", "why", "who")} | {"": "book"}
_BASED_ON = re.compile(r"(?P<name>[^/@]+)@(?P<number>[1-9][0-9]{0,8})")
BookAt = tuple[str, int | None]
"""A book's name and the version of it that a form is based on, None for a new book."""


def book_at(text: str) -> BookAt | None:
    """Return the book and the version that ``NAME@NUMBER`` stands for, None for anything else."""
    found = _BASED_ON.fullmatch(text)
    return None if found is None else (found["name"], int(found["number"]))


def read_book(form: Form) -> BookAt:
    """Return the book that a form is to change, as it was when the form was made; what is wrong is left with the form."""
    text, fits = form.raw("book"), book_at(form.raw("book"))
    if text == NEW:
        return form.text("name", "a name for the new book, 1 to 64 characters", longest=64, needed=True), None
    if form.raw("name").strip():
        form.fault("name", "names a new book, and one that is there is chosen beside it", "one of the two")
    if fits is None:
        form.fault("book", f"{shown(text)} is none of the rule books", "one of those listed, or a new one")
        return NEW, None
    return fits


def read_form_rules(form: Form) -> Mapping[str, float]:
    """Return the rules that a form is to keep; what is wrong is left with the form."""
    text = form.raw("change")
    rules, wrong = read_changes(text[:LONGEST])
    form.faults += wrong
    if len(text) > LONGEST:
        form.fault("change", f"has {len(text):,} characters", f"at most {LONGEST:,} characters")
    elif not rules and not wrong:
        form.fault("change", "names no rule", AS_TYPED)
    return rules


def signed(request: Request, form: Form, write: Write) -> Note:
    """Return the signature under a version; raises InvalidDocument with every fault of the form found before."""
    why = form.text("why", "why it changes, up to 1,000 characters", longest=LONGEST_WHY, needed=True)
    who = signature(request, form)
    form.finish()
    return Note(who, write.at, why, write.signs)


def keep_version(connection: Connection, book: BookAt, rules: Mapping[str, float], note: Note) -> Reply:
    """Make the next version of a book, or a new book of the shop; answer with its name and number."""
    (name, based_on), change = book, BookChange(rules)
    if based_on is None:
        made = make_book(connection, name, "shop", change, note)
    else:
        made = add_version(connection, name, change, note, based_on)
    return Reply({"book": made.version.book, "version": made.version.number}, 201)


def refused(form: Form, error: HoldwrightError) -> int:
    """Leave with the form what refused it, at its fields, and return the answer's status."""
    match error:
        case InvalidDocument():
            form.faults[:] = at_fields(error, _FIELDS)
        case AlreadyThere():
            form.fault("name", "is the name of a book that is there already", "another name, or that book chosen")
        case NotFound():
            form.fault("book", str(error), "one of those listed, or a new one")
        case Stale():
            if error.expected > error.actual:
                form.fault("book", f"has no version {error.expected} yet", f"its newest, {error.actual}")
            return 412
        case KeyReused():
            form.faults.append(Fault("", "this form was sent and saved before, with other values", "the form as it stands now"))
            return 409
    return 422
