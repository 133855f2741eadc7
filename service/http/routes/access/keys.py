"""API keys: list, make, revoke."""

from __future__ import annotations

import re
from datetime import datetime

from fastapi import APIRouter, Request
from fastapi.responses import Response

from inventory.errors import Fault, refuse
from service.access import api_keys
from service.documents.access.keys import KeyDocument, KeyPageDocument, MadeKeyDocument, NewKeyBody
from service.documents.stockroom.body import read_body_as
from service.http.dependencies import AccessHere, ContextHere
from service.http.guard.body import read_body
from service.http.pages import Page
from service.http.parameters import Cursor, Limit
from service.http.reference.routes import answers, takes
from service.http.replies import Reply, answered
from service.http.writes import asked_of
from service.records.api_key import ApiKey
from service.records.database import now

router = APIRouter(prefix="/v1/keys", tags=["access"])
_KEY = {"name": "quoting system", "role": "planner", "expires_at": "2027-12-31T00:00:00Z"}
_ID = re.compile(r"[0-9a-f]{16}")


@router.get("", summary="List keys", responses=answers(200, model=KeyPageDocument))
async def list_keys(access: AccessHere, cursor: Cursor = None, limit: Limit = 100) -> Response:
    """Return a page of keys, oldest first, those that are revoked or expired among them; the keys themselves are kept nowhere."""

    def act() -> Reply:
        page, at = Page.asked(cursor, limit), now()
        refuse(
            [Fault("/cursor", "is no cursor of this list", "`next` of an earlier page")]
            if page.after and not _ID.fullmatch(page.after)
            else []
        )
        found = access.keys.listed(page.after, page.fetched)
        return Reply(page.document("keys", found, lambda key: key.id, lambda key: _shown(key, at).model_dump(mode="json")))

    return await answered(act)


@router.post(
    "",
    summary="Make a key",
    status_code=201,
    responses=answers(201, model=MadeKeyDocument),
    openapi_extra=takes(NewKeyBody, _KEY),
)
async def make_key(request: Request, access: AccessHere, here: ContextHere) -> Response:
    """Make a key. The answer alone has the key; asking again makes another one, whatever Idempotency-Key comes along."""
    raw, asked = await read_body(request, here.planning.settings), asked_of(request)

    def act() -> Reply:
        body = read_body_as(NewKeyBody, raw)
        made = api_keys.make(access.keys, body.name, body.role, body.expires_at, asked)
        document = MadeKeyDocument(key=made.text, **_shown(made.key, asked.at).model_dump())
        return Reply(document.model_dump(mode="json"), 201)

    return await answered(act)


@router.delete("/{id}", summary="Revoke a key", responses=answers(200, 404, model=KeyDocument))
async def revoke_key(request: Request, id: str, access: AccessHere) -> Response:
    """Let a key open nothing from now on, nor browsers that signed in by it. It stays in the list, and keys stay needed."""
    asked = asked_of(request)
    return await answered(lambda: Reply(_shown(api_keys.revoke(access.keys, id, asked), asked.at).model_dump(mode="json")))


def _shown(key: ApiKey, at: datetime) -> KeyDocument:
    plain = {name: getattr(key, name) for name in KeyDocument.model_fields if name != "state"}
    return KeyDocument(**plain, state=key.state(at))
