"""What webhooks can hear of, in the words of the wire."""

from __future__ import annotations

from typing import Literal, get_args

Event = Literal["plan.done", "quote.done", "reservation.hit"]
EVENTS: tuple[Event, ...] = get_args(Event)
TEST_EVENT = "webhook.test"
"""Sent to one webhook when somebody asks for it, whatever it wants to hear of."""
