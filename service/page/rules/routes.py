"""The rule book, what other numbers would do, and the numbers kept as a version."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from service.http.dependencies import Context, ContextHere, StoreHere
from service.http.writes import write_once
from service.page.forms import Form, FormHere
from service.page.frame import page
from service.page.rules.book_form import REFUSED, book_at, keep_version, read_book, read_form_rules, refused, signed
from service.page.rules.changed_rules import LONGEST, changed_plans, read_changes
from service.page.rules.found_rules import found_rules
from service.page.rules.kept_books import BooksNow, newer_versions, saved_version
from service.page.store.signing import done
from service.page.writes import write_of_form

router = APIRouter(include_in_schema=False)
Saved = Annotated[str, Query(max_length=200)]


@router.get("/rules")
def show_rules(request: Request, here: ContextHere, q: Annotated[str, Query(max_length=200)] = "") -> Response:
    """Show every rule, or those that fit what is looked for."""
    topics = found_rules(q)
    count = sum(len(found.numbered) + len(found.codes) for found in topics)
    books = None if here.store is None else here.store.read(BooksNow.of)
    return page(request, "rules/rules.html", block="found", topics=topics, q=q, count=count, books=books)


@router.get("/rules/what-if")
def show_what_if(
    request: Request, here: ContextHere, change: Annotated[str, Query(max_length=LONGEST)] = "", saved: Saved = ""
) -> Response:  # fmt: skip
    """Show what changed rules would do to the plans there are, before anything is changed."""
    return _what_if(request, here, Form.of([("change", change)]), saved=saved)


@router.post("/rules/what-if")
def save_what_if(request: Request, here: ContextHere, store: StoreHere, form: FormHere) -> Response:
    """Keep changed rules as a new version of a rule book, or as a new book of the shop."""
    write = write_of_form(request, form)
    rules, book = read_form_rules(form), read_book(form)
    try:
        note = signed(request, form, write)
        reply = write_once(store, write, lambda connection: keep_version(connection, book, rules, note))
    except REFUSED as error:
        return _what_if(request, here, form, status=refused(form, error))
    assert reply.document is not None
    saved = "{book}@{version}".format(**reply.document)
    return done(request, form, f"/rules/what-if?{urlencode({'change': form.raw('change'), 'saved': saved})}")


def _what_if(request: Request, here: Context, form: Form, *, status: int = 200, saved: str = "") -> Response:
    """Show the screen; a form that was refused stands as it was sent, on top of what others made of its book meanwhile."""
    change = form.raw("change")
    rules, wrong = read_changes(change[:LONGEST])
    store, based, shown = here.store, book_at(form.raw("book")), book_at(saved)
    books = None if store is None else store.read(BooksNow.of)
    if books is not None and based is not None:
        form = Form({**form.fields, "book": (books.key(based[0]) or form.raw("book"),)}, form.faults)
    return page(
        request,
        "rules/what_if.html",
        block="effects",
        status=status,
        change=change,
        rules=rules,
        wrong=wrong,
        found=changed_plans(here.planning.records, rules) if rules and not wrong else None,
        currency=here.planning.settings.currency,
        books=books,
        form=form,
        newer=() if store is None or based is None else store.read(lambda c: newer_versions(c, based[0], based[1] or 0)),
        saved=None if store is None or shown is None else store.read(lambda c: saved_version(c, shown[0], shown[1] or 0)),
    )
