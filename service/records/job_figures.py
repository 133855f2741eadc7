"""What a list says of a job without its documents: how many by when, at what price, how far that is proved, what is short."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True)
class AskedFigures:
    """What a job asks for: how many weldments, and the days the hardware is needed on, both ends included."""

    quantity: int | None = None
    needed_from: date | None = None
    needed_to: date | None = None


@dataclass(frozen=True, slots=True)
class AnswerFigures:
    """What a job's plan comes to; each None where there is nothing of the kind.

    Parameters
    ----------
    total_cents, gap : int, float
        Price of the best alternative, cents; how much cheaper an answer could still be, as a share of it.
    pieces_short : int
        Pieces the best alternative has to buy or, where there is no plan, those to buy by the cheapest repair that buys.
    """

    total_cents: int | None = None
    gap: float | None = None
    pieces_short: int | None = None


def asked_figures(request: str) -> AskedFigures:
    """Return what a request document asks for, as it was accepted."""
    document = json.loads(request)
    needed = document.get("needed") or {}
    first, last = (None if needed.get(end) is None else date.fromisoformat(needed[end]) for end in ("from", "to"))
    return AskedFigures(document.get("quantity"), first, last)


def answer_figures(plan: Mapping[str, Any] | None) -> AnswerFigures:
    """Return what a plan document comes to; advice, and no plan, come to nothing."""
    alternatives = (plan or {}).get("alternatives") or []
    if alternatives:
        best = alternatives[0]
        short = sum(line.get("buy") or 0 for line in best.get("kit") or ())
        return AnswerFigures((best.get("cost") or {}).get("total_cents"), (plan or {}).get("gap"), short)
    repairs = ((plan or {}).get("refused") or {}).get("would_help") or []
    bought = next((each for each in repairs if each["do"] == "buy"), None)
    if bought is None:
        return AnswerFigures()
    return AnswerFigures(pieces_short=bought["count"] + sum(more["count"] for more in bought.get("also", ())))


def columns_of(figures: AskedFigures | AnswerFigures) -> dict[str, Any]:
    """Return figures by the names of their columns in the table of jobs."""
    return asdict(figures)
