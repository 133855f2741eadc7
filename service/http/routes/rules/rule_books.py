"""Rule books: the shop's own numbers and its customers', in versions; which one is used, compared, copied."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response

from inventory.store import Connection
from service.documents.rule_books.answers import (
    BookDifferenceDocument,
    BookPageDocument,
    BooksImportDocument,
    BookUseDocument,
    ChangedBookDocument,
    RuleBookDocument,
    VersionPageDocument,
)
from service.documents.rule_books.bodies import BookVersionBody, NewBookBody, UseBody
from service.documents.rule_books.copies import RuleBooksDocument, read_rule_books
from service.documents.rule_books.known_books import DEFAULT
from service.documents.rules import VERSIONS
from service.http.dependencies import StoreHere
from service.http.guard.queries import whole_number
from service.http.pages import Page
from service.http.parameters import Cursor, Flag, Key, Limit, Match
from service.http.reference.routes import accepts, answers, takes
from service.http.replies import Reply, answered
from service.http.writes import write_of, write_once
from service.records import rule_books as kept
from service.rule_books import documents
from service.rule_books.chain import chain_of, resolved_rules
from service.rule_books.changes import BookChange, ChangedBook, add_version, make_book, use_book
from service.rule_books.copies import BooksImport, exported, imported
from service.rule_books.differences import differences, version_named

router = APIRouter(prefix="/v1/rules", tags=["rules"])
_NEW = {"name": "acme", "kind": "customer", "set": {"weights.adjustable": 50}, "who": "fixture engineer", "why": "agreed"}
_CHANGE = {"set": {"rate.labour_cents_per_hour": 6200}, "who": "fixture engineer", "why": "rates of the new year"}
_USE = {"book": DEFAULT, "who": "fixture engineer", "why": "the built-in numbers again"}
_BOOK = answers(200, model=RuleBookDocument, headers=("ETag",))
_MADE = answers(201, model=ChangedBookDocument, headers=("ETag", "Location"), problems=("exists",))
_ADDED = answers(201, model=ChangedBookDocument, headers=("ETag", "Location"))
_NUMBER = (*whole_number(VERSIONS),)
BookName = Annotated[str, Path(max_length=200, description=f"the book's name; `{DEFAULT}`: the built-in numbers")]
VersionNumber = Annotated[int, *_NUMBER, Path(description="number of a version")]
OfVersion = Annotated[Annotated[int, *_NUMBER] | None, Query(description="of this version; absent: the newest")]
Prefix = Annotated[str, Query(max_length=200, description="only rules whose name starts so, such as `torch`")]
OtherBook = Annotated[str | None, Query(max_length=200, description="the book it is compared with; absent: itself")]
OtherVersion = Annotated[
    Annotated[int, *_NUMBER] | None, Query(description="the version it is compared with; absent: the newest")
]
DryRun = Annotated[Flag, Query(description="say what would be new and find every fault, write nothing")]


@router.get("", summary="List rule books", responses=answers(200, model=BookPageDocument))
async def list_rule_books(store: StoreHere, cursor: Cursor = None, limit: Limit = 100) -> Response:
    """Return a page of the kept rule books by name, each as its newest version has it, and which one is in use."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)

        def found(connection: Connection) -> Reply:
            newest, books = kept.newest_versions(connection), kept.books(connection, page.after, page.fetched)
            listed = page.document(
                "books", books, lambda each: each.name, lambda each: documents.head_document(each, newest).plain()
            )
            return Reply({"in_use": documents.use_document(kept.use_now(connection)).plain(), **listed})

        return store.read(found)

    return await answered(act)


@router.post("", summary="Make a rule book", status_code=201, responses=_MADE, openapi_extra=takes(NewBookBody, _NEW))
async def make_rule_book(request: Request, store: StoreHere, key: Key = None) -> Response:
    """Make a rule book of the shop or of a customer, with its first version."""
    write = await write_of(request)

    def act() -> Reply:
        body = write.read(NewBookBody)
        change = BookChange(body.changes, (), body.base, body.base_version)
        return write_once(store, write, lambda c: _changed(make_book(c, body.name, body.kind, change, write.note(body))))

    return await answered(act)


@router.get("/in-use", summary="The rule book in use", responses=answers(200, model=BookUseDocument, headers=("ETag",)))
async def read_rule_book_in_use(store: StoreHere) -> Response:
    """Return which rule book counts where a request names none."""
    return await answered(lambda: _used(documents.use_document(store.read(kept.use_now))))


@router.put(
    "/in-use",
    summary="Use a rule book",
    responses=answers(200, model=BookUseDocument, headers=("ETag",)),
    openapi_extra=takes(UseBody, _USE),
)
async def use_rule_book(request: Request, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Have a book of the shop count from now on where a request names none; jobs that were taken in keep theirs."""
    write = await write_of(request)

    def act() -> Reply:
        write.versions()
        body = write.read(UseBody)

        def upon(expected: int) -> Reply:
            def action(connection: Connection) -> Reply:
                use = use_book(connection, body.book, body.version, write.note(body), expected)
                return _used(documents.use_document(use))

            return write_once(store, write, action)

        return write.based_on(upon)

    return await answered(act)


@router.get(
    "/export", summary="All rule books", responses=answers(200, model=RuleBooksDocument, headers=("Content-Disposition",))
)
async def export_rule_books(store: StoreHere) -> Response:
    """Return every rule book with every version as one document."""
    headers = {"Content-Disposition": 'attachment; filename="rule-books.json"'}
    return await answered(lambda: Reply(store.read(exported), 200, headers))


@router.post(
    "/import",
    summary="Take rule books in",
    responses=answers(200, model=BooksImportDocument),
    openapi_extra=accepts("rule-books"),
)
async def import_rule_books(request: Request, store: StoreHere, dry_run: DryRun = False, key: Key = None) -> Response:
    """Add books and versions that are not here, as they were made elsewhere: all of them or none."""
    write = await write_of(request)

    def act() -> Reply:
        document = read_rule_books(write.body)
        if dry_run:
            return _imported(store.read(lambda c: imported(c, document, write=False)), written=False)
        return write_once(store, write, lambda c: _imported(imported(c, document, write=True), written=True))

    return await answered(act)


@router.get("/{book}", summary="A rule book", responses=_BOOK)
async def read_rule_book(book: BookName, store: StoreHere, prefix: Prefix = "") -> Response:
    """Return the newest version of a rule book, every rule resolved, each with where its value comes from."""
    return await answered(lambda: store.read(lambda connection: _shown(connection, book, None, prefix)))


@router.get("/{book}/versions", summary="Versions of a rule book", responses=answers(200, model=VersionPageDocument))
async def list_rule_book_versions(book: BookName, store: StoreHere, cursor: Cursor = None, limit: Limit = 100) -> Response:
    """Return a page of a book's versions, newest first: what each sets, who made it, when and why."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        found = store.read(lambda c: kept.book_versions(c, book, page.number, page.fetched))
        return Reply(
            page.document("versions", found, lambda each: each.number, lambda each: documents.version_document(each).plain())
        )

    return await answered(act)


@router.post(
    "/{book}/versions",
    summary="Change a rule book",
    status_code=201,
    responses=_ADDED,
    openapi_extra=takes(BookVersionBody, _CHANGE),
)
async def add_rule_book_version(
    request: Request, book: BookName, store: StoreHere, match: Match = None, key: Key = None
) -> Response:  # fmt: skip
    """Make the next version of a rule book; every plan keeps the version it was made with."""
    write = await write_of(request)

    def act() -> Reply:
        write.versions()
        body = write.read(BookVersionBody)
        change = BookChange(body.changes, body.unset, body.base, body.base_version)

        def upon(expected: int) -> Reply:
            def action(connection: Connection) -> Reply:
                return _changed(add_version(connection, book, change, write.note(body), expected, body.follow))

            return write_once(store, write, action)

        return write.based_on(upon)

    return await answered(act)


@router.get("/{book}/versions/{number}", summary="A version of a rule book", responses=answers(200, model=RuleBookDocument))
async def read_rule_book_version(book: BookName, number: VersionNumber, store: StoreHere, prefix: Prefix = "") -> Response:
    """Return a version of a rule book, every rule resolved; it never changes."""

    def act() -> Reply:
        shown = store.read(lambda connection: _shown(connection, book, number, prefix))
        return Reply(shown.document)

    return await answered(act)


@router.get("/{book}/difference", summary="Compare rule books", responses=answers(200, model=BookDifferenceDocument))
async def compare_rule_books(
    book: BookName, store: StoreHere, version: OfVersion = None, to: OtherBook = None, to_version: OtherVersion = None
) -> Response:
    """Return the rules whose values differ between two versions of one book or of two, each with where it comes from."""

    def found(connection: Connection) -> Reply:
        before, after = version_named(connection, book, version), version_named(connection, to or book, to_version)
        return Reply(documents.difference_document(before, after, differences(connection, before, after)).plain())

    return await answered(lambda: store.read(found))


def _shown(connection: Connection, book: str, number: int | None, prefix: str) -> Reply:
    version = version_named(connection, book, number)
    rules = [rule for rule in resolved_rules(chain_of(connection, version)) if rule.name.startswith(prefix)]
    document = documents.rule_book_document(version, rules)
    return Reply.of_version(document.plain(), document.version)


def _changed(changed: ChangedBook) -> Reply:
    version = changed.version
    where = f"/v1/rules/{quote(version.book, safe='')}/versions/{version.number}"
    return Reply.of_version(documents.changed_book_document(changed).plain(), version.number, 201, where)


def _used(use: BookUseDocument) -> Reply:
    return Reply.of_version(use.plain(), use.number)


def _imported(done: BooksImport, *, written: bool) -> Reply:
    return Reply(documents.import_document(done, written=written).plain())
