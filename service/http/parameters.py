"""Parameters that several routes share."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from fastapi import Header, Query

from service.documents.problem import ProblemDocument
from service.http.reference.routes import answers

Key = Annotated[
    str | None,
    Header(alias="Idempotency-Key", description="makes asking again safe: the same write is made once", examples=["post-118-a"]),
]
Match = Annotated[
    str | None,
    Header(
        alias="If-Match", description="the ETag the change is based on, or `*` to overwrite whatever there is", examples=['"3"']
    ),
]
Cursor = Annotated[str | None, Query(description="`next` of the page before")]
Limit = Annotated[int, Query(ge=1, le=1000, description="entries on a page")]
Text = Annotated[str | None, Query(max_length=200, description="part of an id or name, in any case")]
From = Annotated[date | None, Query(alias="from", description="first day, YYYY-MM-DD; absent = today")]
To = Annotated[date | None, Query(alias="to", description="last day, YYYY-MM-DD; absent = the first day")]

WRITES: dict[int | str, dict[str, Any]] = answers()
for _status, _says in (
    (409, "refused as things stand: pieces are short, or the step is not allowed now; `short` or `allowed` say more"),
    (412, "changed since it was read"),
    (428, "If-Match is missing"),
):
    WRITES[_status] = {"description": _says, "model": ProblemDocument}
