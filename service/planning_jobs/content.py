"""What an answer depends on, as one word: the same word, the same answer."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import date
from typing import Any

from service.release import release
from service.stockroom.stock_source import Days


def days_of(document: Mapping[str, Any]) -> Days | None:
    """Return the days an accepted request needs its hardware on, None if it names none."""
    needed = document.get("needed")
    return None if needed is None else (date.fromisoformat(needed["from"]), date.fromisoformat(needed["to"]))


def content_of(document: Mapping[str, Any], stock_version: int, today: date) -> str:
    """Return the fingerprint of all that a plan depends on.

    That is the request with its rules, its seed and its days, however its text is laid out; the stock's version; the day, from
    which what is free is counted; and the release.

    Parameters
    ----------
    document : dict
        The request as it was accepted.
    """
    days = days_of(document) or (today, today)
    whole = [document, stock_version, [day.isoformat() for day in (*days, today)], release()]
    text = json.dumps(whole, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
