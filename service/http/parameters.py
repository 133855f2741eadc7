"""Parameters that several routes of the storekeeper's desk share."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from fastapi import Depends, Header, Query
from pydantic import BaseModel

from inventory.store import Store
from service.documents.jobs import ProblemDocument
from service.http.reference import answers
from service.http.stockroom_dependencies import store
from service.stockroom.replies import Page

StoreHere = Annotated[Store, Depends(store)]
Key = Annotated[
    str | None,
    Header(alias="Idempotency-Key", description="makes asking again safe: the same write is made once", examples=["a-4711"]),
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


def page(cursor: str | None, limit: int) -> Page:
    """Return the page asked for; raises InvalidDocument."""
    return Page.asked(cursor, limit)


def takes(model: type[BaseModel], example: dict[str, Any]) -> dict[str, Any]:
    """Return a route's request body for the reference, from its model."""
    schema = model.model_json_schema(ref_template="#/components/schemas/{model}")
    inner = schema.pop("$defs", {})
    schema = _resolved(schema, inner)
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema, "example": example}}}}


def _resolved(schema: Any, inner: dict[str, Any]) -> Any:
    """Write what a schema refers to into it: these bodies are small, and stand in one place each."""
    if isinstance(schema, list):
        return [_resolved(each, inner) for each in schema]
    if not isinstance(schema, dict):
        return schema
    if "$ref" in schema:
        return _resolved(inner[schema["$ref"].rpartition("/")[2]], inner)
    return {key: _resolved(value, inner) for key, value in schema.items()}
