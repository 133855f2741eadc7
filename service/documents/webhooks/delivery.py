"""Messages to webhooks on the wire: what became of each."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from pydantic import BaseModel, Field

DeliveryState = Literal["waiting", "delivered", "dead"]


class DeliveryDocument(BaseModel):
    """A message to a webhook, and what became of it."""

    id: str = Field(description="the message's `webhook-id`, the same at every attempt")
    webhook: str
    event: str
    state: DeliveryState = Field(description="`dead`: given up after its last attempt, or because the webhook was switched off")
    made_at: datetime
    attempts: int
    next_at: datetime | None = Field(description="when it is sent next, null if it is not")
    ended_at: datetime | None
    last_status: int | None = Field(description="what the receiver answered last, null if it did not")
    last_error: str
    body: str = Field(description="the message as it is sent")


class DeliveryListDocument(BaseModel):
    """A page of messages, newest first."""

    deliveries: list[DeliveryDocument]
    next: str | None
