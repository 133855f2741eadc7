"""A quote on its way: how far it is, and the prices that are known."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field

from service.documents.answers.answer import Answer, Kept
from service.documents.quotes.quote import QuoteDocument, QuoteLineDocument


class QuoteJobDocument(Answer):
    """A quote: how far the work is, and the quote as far as it goes."""

    format: Literal["holdwright.quote-job/1"] = "holdwright.quote-job/1"
    id: str
    name: str
    state: Annotated[
        Literal["running", "done", "cancelled"], Field(description="the work's state; how far a price is proved says its line")
    ]
    created_at: datetime
    finished_at: Annotated[datetime | None, Field(description="null before it has ended")]
    lines_told: Annotated[int, Field(description="lines whose answer is there")]
    lines: Annotated[int, Field(description="lines there are")]
    quote: Annotated[dict[str, Any], Kept(QuoteDocument)]


class ToldLinesDocument(Answer):
    """Lines of a quote whose answer is there: those of one request, told together."""

    lines: list[QuoteLineDocument]
