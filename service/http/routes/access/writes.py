"""The journal of writes."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query
from fastapi.responses import Response

from service.documents.access.writes import WriteDocument, WritePageDocument
from service.http.dependencies import AccessHere
from service.http.pages import Page
from service.http.parameters import Cursor, Limit, Since
from service.http.reference.routes import answers
from service.http.replies import Reply, answered
from service.records.noted_writes import WantedWrites

router = APIRouter(prefix="/v1/writes", tags=["access"])
OfKey = Annotated[str | None, Query(description="only this key's, by its id", pattern="^[0-9a-f]{16}$")]
OfOperation = Annotated[str | None, Query(description="only this operation's", pattern="^[a-z_]{1,64}$")]


@router.get("", summary="The journal of writes", responses=answers(200, model=WritePageDocument))
async def list_writes(
    access: AccessHere,
    key: OfKey = None,
    operation: OfOperation = None,
    since: Since = None,
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Return a page of the journal of writes, newest first: which key did what, where and when."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        found = access.writes.listed(WantedWrites(key, operation, since), page.number, page.fetched)
        shown = [WriteDocument.model_validate(each) for each in found]
        return Reply(page.document("writes", shown, lambda each: each.id, lambda each: each.model_dump(mode="json")))

    return await answered(act)
