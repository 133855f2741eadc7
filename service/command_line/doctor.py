"""`holdwright doctor`: everything a server needs, one line each, with what to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict

from inventory.errors import InvalidDocument
from service.command_line.printing.console import DONE, REFUSED, print_json, print_table
from service.doctor.database import examine_database
from service.doctor.examined import Examined
from service.doctor.machine import examine_machine
from service.settings import Settings
from service.text_table import Column


def examine(db: str | None, as_json: bool) -> int:
    """Look at everything, print it, and return the exit code."""
    found = list(_everything(db))
    if as_json:
        print_json([asdict(each) for each in found])
    else:
        rows = [[each.verdict, each.what, each.found + (f" - {each.do}" if each.do else "")] for each in found]
        print_table(["", "what", Column("how it is, and what to do", wraps=True)], rows, "nothing was looked at")
    return REFUSED if any(each.verdict == "wrong" for each in found) else DONE


def _everything(db: str | None) -> Iterator[Examined]:
    try:
        settings = Settings.read(db=db)
    except InvalidDocument as bad:
        for fault in bad.faults:
            yield Examined(fault.pointer[1:], "wrong", fault.wrong, f"accepted: {fault.accepted}")
        return
    yield Examined("settings", "ok", "all can be read")
    yield from examine_machine(settings)
    yield from examine_database(settings)
