"""How templates word values: money, spans of time, moments, days, numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

from service.text import money, printable

_MINUTE = 60.0
DASH = "\u2013"
"""What stands where there is nothing to say."""


def minutes(seconds: float) -> str:
    """Return a span of time as people in a shop say it: ``38 s``, ``7 min``, ``1 h 20 min``."""
    if seconds < 2 * _MINUTE:
        return f"{seconds:.0f} s"
    whole = math.ceil(seconds / _MINUTE - 1e-9)
    return f"{whole} min" if whole < 120 else f"{whole // 60} h {whole % 60:02d} min"


def percent(share: float | None) -> str:
    """Return a share in percent with one decimal, a dash for none."""
    return DASH if share is None else f"{100 * share:.1f} %"


def moment(at: datetime) -> str:
    """Return a moment as the page first shows it, in UTC; the browser puts its own clock's in that place."""
    return at.strftime("%Y-%m-%d %H:%M UTC")


def day(given: date) -> str:
    """Return a day as ``Mon 2 Mar 2027``."""
    return f"{given:%a} {given.day} {given:%b %Y}"


def number(value: float, decimals: int = 2) -> str:
    """Return a number with at most so many decimals and no needless noughts."""
    text = f"{value:,.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def unquoted(text: str) -> str:
    """Return a text of the rule book without the marks it has round words of documents."""
    return text.replace("`", "")


def counted(count: int, one: str, several: str = "") -> str:
    """Return a count with its word: ``1 piece``, ``3 pieces``."""
    return f"{count:,} {one if count == 1 else several or one + 's'}"


FILTERS: Mapping[str, Callable[..., Any]] = {
    "money": money,
    "minutes": minutes,
    "percent": percent,
    "moment": moment,
    "day": day,
    "number": number,
    "counted": counted,
    "printable": printable,
    "unquoted": unquoted,
}
"""Every wording by the name templates call it."""
