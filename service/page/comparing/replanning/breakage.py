"""Pieces found broken at a table are written down in the store, by the storekeeper's own use case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from starlette.requests import Request

from inventory.store import Connection
from service.http.dependencies import Context
from service.http.replies import Reply
from service.http.writes import write_once
from service.page.forms import Form
from service.page.writes import write_of_form
from service.stockroom.stock import enter


def record_broken(request: Request, here: Context, form: Form, broken: Mapping[str, int], who: str, job: str) -> None:
    """Write down that pieces broke, item by item; the same form sent twice writes once.

    Parameters
    ----------
    broken : dict
        Pieces by item.
    who, job : str
        Who signs, and the weldment's name.

    Raises
    ------
    NotFound, CountRefused
    """
    assert here.store is not None
    write = write_of_form(request, form)
    note = write.signed(who, f"found broken at the table: {job or 'weldment'}"[:200])
    for item, pieces in broken.items():

        def action(connection: Connection, item: str = item, pieces: int = pieces) -> Reply:
            enter(connection, item, "break", pieces, note, write.today)
            return Reply({})

        write_once(here.store, replace(write, key=None if write.key is None else f"{write.key}:{item}"), action)
