"""Parameters that several routes share."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated

from fastapi import Header, Query

from inventory.limits import Limit as Range
from service.http.guard.queries import DAY, FLAG, MOMENT, whole_number

_TAG = '(W/)?"[!#-~]*"'
_ENTRIES = whole_number(Range(1, 1000, "entries", whole=True))

Key = Annotated[
    str | None,
    Header(
        alias="Idempotency-Key",
        description="makes asking again safe: the same write is made once",
        json_schema_extra={"minLength": 1, "maxLength": 255, "pattern": "^[ -~]+$"},
    ),
]
Match = Annotated[
    str | None,
    Header(
        alias="If-Match",
        description="the ETag the change is based on, or `*` to overwrite whatever there is",
        examples=["*"],
        json_schema_extra={"pattern": rf"^(\*|{_TAG}(, {_TAG}){{0,19}})$"},
    ),
]
Cursor = Annotated[str | None, Query(max_length=400, description="`next` of the page before")]
Limit = Annotated[int, *_ENTRIES, Query(description="entries on a page")]
Text = Annotated[str | None, Query(max_length=200, description="part of an id or name, in any case")]
Named = Annotated[str | None, Query(max_length=200, description="only of this one")]
From = Annotated[Annotated[date, DAY] | None, Query(alias="from", description="first day, YYYY-MM-DD; absent = today")]
To = Annotated[Annotated[date, DAY] | None, Query(alias="to", description="last day, YYYY-MM-DD; absent = the first day")]
Since = Annotated[Annotated[datetime, MOMENT] | None, Query(description="only from this moment on")]
Until = Annotated[Annotated[datetime, MOMENT] | None, Query(description="only before this moment")]
Flag = Annotated[bool, FLAG]
