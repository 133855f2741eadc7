"""What `holdwright rules` does with the rule books of a store."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import shown, suggestion
from inventory.store import Connection, Store
from service.command_line.arguments import signed
from service.command_line.exit_code import read_from
from service.command_line.printing.console import BAD_INPUT, DONE, note, print_json, print_table, read_input
from service.command_line.rule_records import print_record
from service.command_line.sources import the_store
from service.documents.rule_books.answers import BookUseDocument, ValueAtDocument
from service.documents.rule_books.copies import read_rule_books
from service.documents.rule_books.known_books import DEFAULT
from service.documents.rules import rule_document
from service.errors import InvalidSource
from service.files import LARGEST_FILE, laid_out, write_text
from service.records import rule_books as kept
from service.records.keys import KeyRecords
from service.rule_books import documents
from service.rule_books.chain import ResolvedRule, ValueAt, chain_of, resolved_rules
from service.rule_books.changes import BookChange, ChangedBook, add_version, make_book, use_book
from service.rule_books.copies import exported, imported
from service.rule_books.differences import differences, version_named
from service.text import printable
from service.text_table import Column
from solver.rule_book import BY_NAME, VALUES

Named = tuple[str, int | None]


@dataclass(frozen=True, slots=True)
class BookWords:
    """A change as the command line words it: `values` are ``RULE=VALUE``, `base` is ``NAME`` or ``NAME@VERSION``."""

    book: str
    values: Sequence[str] = ()
    unset: Sequence[str] = ()
    base: str | None = None
    customer: bool = False
    follow: bool = False


def list_rules(prefix: str, book: str, db: str | None, as_json: bool) -> int:
    """Print the rules of a book whose name starts with `prefix`, with where each value comes from; exit code 2 if none."""
    name, number = _named(book)
    rules = [rule for rule in _resolved(db, name, number) if rule.name.startswith(prefix)]
    if not rules:
        note(f"no rule starts with {prefix!r}; accepted: a name such as clear.weld, or its beginning")
        return BAD_INPUT
    if as_json:
        print_json([documents.resolved_document(rule).plain() for rule in rules])
        return DONE
    columns: list[Column | str] = [
        Column("rule"),
        Column("value", right=True),
        "unit",
        Column("from", wraps=True),
        Column("meaning", wraps=True),
    ]
    rows = [[r.name, f"{r.value:g}", VALUES[r.name].unit, _place(r.steps[-1]), BY_NAME[r.name].meaning] for r in rules]
    print_table(columns, rows, "no rules")
    return DONE


def explain_rule(name: str, book: str | None, db: str | None, as_json: bool) -> int:
    """Print all that is known of a rule, and of a book what each link of its chain says of it."""
    rule = BY_NAME.get(name)
    if rule is None:
        refuse([Fault("/rule", f"there is no rule {shown(name)}", suggestion(name, BY_NAME, "a rule of the rule book"))])
    assert rule is not None
    steps: Sequence[ValueAt] = ()
    if book is not None and name in VALUES:
        steps = next(each.steps for each in _resolved(db, *_named(book)) if each.name == name)
    if as_json:
        print_json({**rule_document(rule), "steps": [documents.value_document(step).plain() for step in steps]})
        return DONE
    print_record(rule)
    for step in steps:
        counts = ", which counts" if step is steps[-1] else ""
        print(printable(f"{_place(step)}: {step.value:g} {VALUES[name].unit}{counts}"))
    return DONE


def list_books(db: str | None, as_json: bool) -> int:
    """Print every kept book, and which one is in use."""
    with _books(db) as store:
        found, newest, use = store.read(lambda c: (kept.books(c), kept.newest_versions(c), kept.use_now(c)))
    heads = [documents.head_document(each, newest) for each in found]
    used = documents.use_document(use)
    if as_json:
        print_json({"in_use": used.plain(), "books": [head.plain() for head in heads]})
        return DONE
    rows = [
        [h.name, h.kind, h.version, _base(h.base, h.base_version, h.base_newest), h.rules_set, h.at[:10], h.by, h.why]
        for h in heads
    ]
    wrapped = [Column(name, wraps=True) for name in ("by", "why")]
    print_table(["book", "kind", "version", "starts from", "rules set", "since", *wrapped], rows, "no rule books are kept")
    print(printable(f"in use: {used.book}{'' if used.version is None else f'@{used.version}'}"))
    return DONE


def set_rules(words: BookWords, who: str | None, why: str, db: str | None, as_json: bool) -> int:
    """Make a new version of a book, or the book; say which others are left behind."""
    signature, (base, number) = signed(who, why), (None, None) if words.base is None else _named(words.base)
    change = BookChange(rule_values(words.values), words.unset, base, number)

    def act(connection: Connection) -> ChangedBook:
        there = {each.name: each for each in kept.books(connection)}
        if words.book not in there:
            return make_book(connection, words.book, "customer" if words.customer else "shop", change, signature)
        if words.customer and there[words.book].kind != "customer":
            refuse([Fault("/customer", f"{shown(words.book)} is the shop's", "no --customer; a book stays whose it is")])
        return add_version(connection, words.book, change, signature, kept.book(connection, words.book).newest, words.follow)

    with _books(db, create=True) as store:
        done = store.write(act)
    if as_json:
        print_json(documents.changed_book_document(done).plain())
        return DONE
    version = done.version
    print(printable(f"{version.book} is at version {version.number}, which starts from {version.base}@{version.base_version}"))
    for each in done.followed:
        print(printable(f"{each.book} is at version {each.number}, which starts from {each.base}@{each.base_version}"))
    for each in done.behind:
        note(printable(f"{each.book}@{each.number} still starts from {each.base}@{each.base_version}; to move it: "
                       f"holdwright rules set {_quoted(each.book)} --base {_quoted(each.base)} --why ..."))  # fmt: skip
    return DONE


def compare_books(one: str, other: str | None, db: str | None, as_json: bool) -> int:
    """Print the rules whose values differ between two versions."""
    (name, number), (to, to_number) = _named(one), _named(other) if other is not None else (_named(one)[0], None)
    with _books(db) as store:

        def found(connection: Connection) -> int:
            before, after = version_named(connection, name, number), version_named(connection, to, to_number)
            document = documents.difference_document(before, after, differences(connection, before, after))
            if as_json:
                print_json(document.plain())
                return DONE
            titles = [f"{each.name}@{each.version}" for each in (document.before, document.after)]
            columns: list[Column | str] = [
                Column("rule"),
                *(Column(title, right=True) for title in titles),
                "unit",
                Column("from", wraps=True),
            ]
            rows = [
                [r.name, f"{r.before.value:g}", f"{r.after.value:g}", r.unit, f"{_place(r.before)}; {_place(r.after)}"]
                for r in document.rules
            ]
            print_table(columns, rows, f"{titles[0]} and {titles[1]} say the same")
            return DONE

        return store.read(found)


def show_versions(book: str, db: str | None, as_json: bool) -> int:
    """Print the versions of a book, newest first."""
    with _books(db) as store:
        found = [documents.version_document(each) for each in store.read(lambda c: kept.book_versions(c, book))]
    if as_json:
        print_json([each.plain() for each in found])
        return DONE
    columns: list[Column | str] = [
        "version",
        "when",
        *(Column(name, wraps=True) for name in ("by", "why", "sets")),
        "starts from",
    ]
    rows = [[v.version, v.at[:16], v.by, v.why, _sets(v.set), f"{v.base}@{v.base_version}"] for v in found]
    print_table(columns, rows, "no versions")
    return DONE


def put_in_use(book: str, who: str | None, why: str, db: str | None, as_json: bool) -> int:
    """Have a book count where requests name none."""
    signature, (name, number) = signed(who, why), _named(book)

    def act(connection: Connection) -> BookUseDocument:
        before = documents.use_document(kept.use_now(connection)).number
        return documents.use_document(use_book(connection, name, number, signature, before))

    with _books(db, create=True) as store:
        used = store.write(act)
    if as_json:
        print_json(used.plain())
    else:
        which = "its newest version" if used.version is None else f"version {used.version}"
        print(printable(f"requests that name no rule book go by {used.book} from now on, {which}"))
    return DONE


def export_books(out: Path | None, db: str | None) -> int:
    """Write all rule books as one document, to standard output if no file is named."""
    with _books(db) as store:
        text = laid_out(store.read(exported)) + "\n"
    if out is None or out == Path("-"):
        sys.stdout.write(text)
        return DONE
    try:
        write_text(out, text)
    except OSError as error:
        raise InvalidSource(
            out, [Fault("", f"cannot be written: {error.strerror}", "a file name in a folder that exists")]
        ) from None
    return DONE


def import_books(file: Path, dry_run: bool, db: str | None, as_json: bool) -> int:
    """Take the rule books of a document in."""
    with read_from(file):
        document = read_rule_books(read_input(file), LARGEST_FILE)
    with _books(db, create=not dry_run) as store:
        take = store.read if dry_run else store.write
        done = documents.import_document(take(lambda c: imported(c, document, write=not dry_run)), written=not dry_run)
    if as_json:
        print_json(done.plain())
        return DONE
    for each in done.versions:
        print(printable(f"{each.name}@{each.version}{' (a new book)' if each.name in done.books and each.version == 1 else ''}"))
    ending = "" if done.written else "; nothing was written"
    print(f"{len(done.versions)} versions {'taken in' if done.written else 'would be new'}, {done.unchanged} are here{ending}")
    return DONE


@contextmanager
def _books(db: str | None, create: bool = False) -> Iterator[Store]:
    with the_store(db, create) as store:
        KeyRecords(store).create()
        yield store


def _resolved(db: str | None, name: str, number: int | None) -> tuple[ResolvedRule, ...]:
    with _books(db) as store:
        return store.read(lambda c: resolved_rules(chain_of(c, version_named(c, name, number))))


def _named(word: str) -> Named:
    """Return the name and the number of ``NAME`` or ``NAME@VERSION``; raises InvalidDocument."""
    name, sign, number = word.rpartition("@")
    if not sign:
        return word, None
    if not (number.isascii() and number.isdecimal() and 0 < len(number) < 8 and int(number) > 0):
        raise InvalidDocument([Fault("/book", f"{shown(word)} names no version", "NAME, or NAME@VERSION such as shop@2")])
    return name, int(number)


def rule_values(words: Sequence[str]) -> dict[str, float]:
    """Return rules and values of words such as ``clear.weld=20``; raises InvalidDocument with every word that is none."""
    found: dict[str, float] = {}
    faults = []
    for word in words:
        rule, sign, text = word.partition("=")
        try:
            value = float(text)
        except ValueError:
            value = float("nan")
        if not sign or not -1e300 < value < 1e300:
            faults.append(Fault("/set", f"{shown(word)} is not RULE=VALUE", "such as clear.weld=20"))
        elif rule in found:
            faults.append(Fault("/set", f"{shown(rule)} stands there twice", "each rule once"))
        else:
            found[rule] = value
    refuse(faults)
    return found


def _place(at: ValueAt | ValueAtDocument) -> str:
    return "built in" if at.book == DEFAULT else f"{at.book}@{at.version}"


def _base(name: str, number: int, newest: int) -> str:
    return f"{name}@{number}" if number == newest else f"{name}@{number}, newest {newest}"


def _sets(rules: dict[str, float]) -> str:
    return ", ".join(f"{name}={value:g}" for name, value in sorted(rules.items())) or "nothing"


def _quoted(name: str) -> str:
    return f"'{name}'" if " " in name else name
