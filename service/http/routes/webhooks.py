"""Webhooks: who is told of what happens here, and what became of each message."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel

from inventory.errors import refuse
from inventory.store import Connection, Store
from service.documents.stockroom.body import read_body_as
from service.documents.stockroom.days import moment_text
from service.documents.webhooks.delivery import DeliveryDocument, DeliveryListDocument, DeliveryState
from service.documents.webhooks.webhook import (
    AddedWebhookDocument,
    EmptyBody,
    WebhookBody,
    WebhookChangeBody,
    WebhookDocument,
    WebhookListDocument,
)
from service.http.dependencies import PlanningHere, StoreHere
from service.http.pages import FOREIGN, Page
from service.http.parameters import Cursor, Key, Limit, Match
from service.http.reference.routes import answers, takes
from service.http.replies import Reply, answered
from service.http.writes import Write, write_of, write_once
from service.records import deliveries, webhooks
from service.records.deliveries import Delivery
from service.records.webhooks import Webhook
from service.webhooks import subscriptions
from service.webhooks.subscriptions import WebhookWish

router = APIRouter(prefix="/v1/webhooks", tags=["webhooks"])
_WEBHOOK = {"url": "https://erp.example/holdwright", "events": ["plan.done", "reservation.hit"]}
_CHANGE = {"enabled": False}
WebhookId = Annotated[str, Path(description="the webhook's id")]
DeliveryId = Annotated[str, Path(description="the message's id, its `webhook-id`")]
OfState = Annotated[DeliveryState | None, Query(description="only messages in this state; `dead`: those that were given up")]


def _writes(status: int, says: str, model: type[BaseModel]) -> dict[int | str, dict[str, Any]]:
    headers = ("ETag",) if status == 200 else ("Location",)
    told = answers(status, model=model, headers=headers, problems=("webhook-off",) if status == 202 else ())
    return {**told, status: {**told[status], "description": says}}


@router.get("", summary="List webhooks", responses=answers(200, model=WebhookListDocument))
async def list_webhooks(store: StoreHere, cursor: Cursor = None, limit: Limit = 100) -> Response:
    """Return a page of webhooks by id, without their secrets; `waiting` and `dead` count their messages."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        refuse([FOREIGN] if page.after and not webhooks.ID.fullmatch(page.after) else [])
        found = store.read(lambda connection: webhooks.find_webhooks(connection, page.after, page.fetched))
        return Reply(page.document("webhooks", found, lambda each: each.id, webhook_document))

    return await answered(act)


@router.post(
    "",
    summary="Add a webhook",
    status_code=201,
    responses=_writes(201, "added; its `secret` is shown this once", AddedWebhookDocument),
    openapi_extra=takes(WebhookBody, _WEBHOOK),
)
async def add_webhook(request: Request, store: StoreHere, planning: PlanningHere, key: Key = None) -> Response:
    """Have events told to an address from now on; the answer has the secret that messages are signed with."""
    write = await write_of(request)

    def act() -> Reply:
        body = read_body_as(WebhookBody, write.body)
        WebhookWish(body.url).checked(bool(planning.settings.webhook_private))

        def action(connection: Connection) -> Reply:
            there = subscriptions.add(connection, body.url, body.events, write.at, write.asked.key)
            where = f"/v1/webhooks/{there.id}"
            return Reply.of_version(webhook_document(there, secret=True), there.version, 201, where)

        return write_once(store, write, action)

    return await answered(act)


@router.get("/{id}", summary="A webhook", responses=answers(200, model=WebhookDocument))
async def read_webhook(id: WebhookId, store: StoreHere) -> Response:
    """Return a webhook without its secret; its version is the ETag."""
    return await answered(lambda: _shown(store.read(lambda connection: webhooks.webhook(connection, id))))


@router.patch(
    "/{id}",
    summary="Change a webhook, switch it on or off",
    responses=_writes(200, "as it is now", WebhookDocument),
    openapi_extra=takes(WebhookChangeBody, _CHANGE),
)
async def change_webhook(
    request: Request, id: WebhookId, store: StoreHere, planning: PlanningHere, match: Match = None, key: Key = None
) -> Response:
    """Change where and what of it is told; the secret stays. Messages that wait go to the new address."""
    write = await write_of(request)

    def act() -> Reply:
        write.versions()
        body = read_body_as(WebhookChangeBody, write.body)
        wish = WebhookWish(body.url, body.events, body.enabled).checked(bool(planning.settings.webhook_private))

        def upon(expected: int) -> Reply:
            return write_once(store, write, lambda c: _shown(subscriptions.change(c, id, expected, wish)))

        return write.based_on(upon)

    return await answered(act)


@router.delete("/{id}", summary="Remove a webhook", status_code=204, responses=answers(204))
async def remove_webhook(request: Request, id: WebhookId, store: StoreHere, match: Match = None, key: Key = None) -> Response:
    """Tell this address nothing more; its messages are removed too, those that wait and dead ones as well."""
    write = await write_of(request)

    def act() -> Reply:
        def upon(expected: int) -> Reply:
            def action(connection: Connection) -> Reply:
                webhooks.remove_webhook(connection, id, expected)
                return Reply(None, 204)

            return write_once(store, write, action)

        return write.based_on(upon)

    return await answered(act)


@router.post(
    "/{id}/test",
    summary="Send a test message",
    status_code=202,
    responses=_writes(202, "on its way; `Location` says what becomes of it", DeliveryDocument),
    openapi_extra=takes(EmptyBody, {}, required=False),
)
async def test_webhook(request: Request, id: WebhookId, store: StoreHere, key: Key = None) -> Response:
    """Send a message `webhook.test` to this webhook alone."""
    write = await write_of(request, empty_allowed=True)
    return await _sent(store, write, lambda connection: deliveries.add_test(connection, id, write.at))


@router.get("/{id}/deliveries", summary="Messages to a webhook", responses=answers(200, model=DeliveryListDocument))
async def list_deliveries(
    id: WebhookId, store: StoreHere, state: OfState = None, cursor: Cursor = None, limit: Limit = 100
) -> Response:
    """Return a page of messages, newest first, each with what became of it; `state=dead` lists those that were given up."""

    def act() -> Reply:
        page = Page.asked(cursor, limit)
        refuse([FOREIGN] if page.after and not deliveries.ID.fullmatch(page.after) else [])
        found = store.read(lambda c: deliveries.find_deliveries(c, id, state, page.after, page.fetched))
        return Reply(page.document("deliveries", found, lambda each: each.id, delivery_document))

    return await answered(act)


@router.get("/{id}/deliveries/{delivery}", summary="A message to a webhook", responses=answers(200, model=DeliveryDocument))
async def read_delivery(id: WebhookId, delivery: DeliveryId, store: StoreHere) -> Response:
    """Return a message and what became of it."""
    return await answered(
        lambda: Reply(delivery_document(store.read(lambda connection: deliveries.delivery(connection, id, delivery))))
    )


@router.post(
    "/{id}/deliveries/{delivery}/retry",
    summary="Send a message again",
    status_code=202,
    responses=_writes(202, "on its way again; `Location` says what becomes of it", DeliveryDocument),
    openapi_extra=takes(EmptyBody, {}, required=False),
)
async def retry_delivery(request: Request, id: WebhookId, delivery: DeliveryId, store: StoreHere, key: Key = None) -> Response:
    """Send a message again now, with all its attempts before it: a dead one, one that waits, or one that has arrived."""
    write = await write_of(request, empty_allowed=True)
    return await _sent(store, write, lambda connection: deliveries.send_again(connection, id, delivery, write.at))


async def _sent(store: Store, write: Write, send: Callable[[Connection], Delivery]) -> Response:
    def act() -> Reply:
        if write.body:
            read_body_as(EmptyBody, write.body)

        def action(connection: Connection) -> Reply:
            there = send(connection)
            where = f"/v1/webhooks/{there.webhook}/deliveries/{there.id}"
            return Reply(delivery_document(there), 202, {"Location": where})

        return write_once(store, write, action)

    return await answered(act)


def _shown(there: Webhook) -> Reply:
    return Reply.of_version(webhook_document(there), there.version)


def webhook_document(webhook: Webhook, *, secret: bool = False) -> dict[str, Any]:
    """Return a webhook; with its secret only where it was just added."""
    keys = ("id", "url", "enabled", "made_by", "version", "waiting", "dead")
    document = {key: getattr(webhook, key) for key in keys}
    document |= {"events": list(webhook.events), "made_at": moment_text(webhook.made_at)}
    return {**document, "secret": webhook.secret} if secret else document


def delivery_document(delivery: Delivery) -> dict[str, Any]:
    """Return a message and what became of it."""
    keys = ("id", "webhook", "event", "state", "attempts", "last_status", "last_error", "body")
    document = {key: getattr(delivery, key) for key in keys}
    due = delivery.next_at if delivery.state == "waiting" else None
    moments = {"made_at": delivery.made_at, "next_at": due, "ended_at": delivery.ended_at}
    return document | {key: moment_text(at) for key, at in moments.items()}
