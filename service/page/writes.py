"""Changes that forms ask for: who signs, what they are based on, and that a form sent twice is done once."""

from __future__ import annotations

import hashlib
import json
from datetime import date
from typing import Any

from starlette.requests import Request

from inventory.errors import Fault, InvalidDocument
from service.documents.stockroom.body import NOBODY_SIGNS
from service.http.dependencies import caller_of, planning_of
from service.http.writes import Write, asked_of, key_of_its_own
from service.page.forms import Form
from service.page.frame import Frame
from service.planning_jobs.planning_service import SubmissionKey

ONCE = "once"
"""The field with a token of the form's own: the same one twice is one change."""


def write_of_form(request: Request, form: Form) -> Write:
    """Return the change a form asks for, based on the version its field ``version`` names."""
    asked, content = asked_of(request), _content(form)
    version = form.raw("version").strip()
    return Write(
        body=content,
        at=asked.at,
        today=date.today(),
        asked=asked,
        signs=caller_of(request).signs_as,
        if_match=f'"{version}"' if version else None,
        key=form.raw(ONCE)[:100] or None,
        target=f"{request.method} {request.url.path}",
        key_hours=planning_of(request).settings.key_hours,
    )


def signature(request: Request, form: Form) -> str:
    """Return who signs: the API key's name, the form's field ``who``, or the browser's own name; a fault if nobody does."""
    frame = Frame.of(request)
    by_key = None if frame.caller is None else frame.caller.signs_as
    name = by_key or form.text("who", NOBODY_SIGNS.accepted) or frame.likes.name
    if not name:
        form.fault("who", NOBODY_SIGNS.wrong, "your name, once; it is remembered here")
    return name


def submission_of_form(request: Request, form: Form) -> SubmissionKey:
    """Return who asks for a plan, and the key that makes of a form sent twice one job."""
    asked, given = asked_of(request), form.raw(ONCE)[:100]
    own = key_of_its_own(given, asked) if given.isascii() and given.isprintable() and given else None
    return SubmissionKey(own, hashlib.sha256(_content(form)).hexdigest(), asked)


def at_fields(bad: InvalidDocument, names: dict[str, str]) -> list[Fault]:
    """Return the faults of a document at the fields of the form that made it.

    Parameters
    ----------
    names : dict
        From the beginning of a pointer to the field's name; a fault elsewhere keeps its pointer.
    """
    found = []
    for fault in bad.faults:
        field = next(
            (name for start, name in names.items() if fault.pointer == start or fault.pointer.startswith(f"{start}/")), None
        )
        found.append(fault if field is None else Fault(f"/{field}", fault.wrong, fault.accepted))
    return found


def _content(form: Form) -> bytes:
    fields: dict[str, Any] = {name: list(values) for name, values in form.fields.items()}
    return json.dumps(fields, sort_keys=True, ensure_ascii=True).encode()
