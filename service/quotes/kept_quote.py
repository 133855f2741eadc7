"""Quotes as they are kept, and as what they ask for and know of prices."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from typing import Any

from service.documents.quotes.group_prices import GroupPrices
from service.documents.quotes.inquiry import AskedGroup, Inquiry
from service.documents.quotes.kept_basis import kept_basis, kept_line, read_basis, read_line
from service.documents.quotes.price_facts import read_facts
from service.documents.quotes.quote import line_model, quote_document
from service.planning_jobs.content import content_of
from service.records.quotes import KeptGroup, KeptQuote

_NOT_OF_PRICES = ("quantity", "alternatives", "time_limit_s", "work_limit")
"""Members of a request that neither a kit's price nor a proof depends on."""


def groups_to_keep(inquiry: Inquiry, stock_version: int) -> tuple[KeptGroup, ...]:
    """Return the groups of an inquiry as they are kept, nothing known of their prices."""
    return tuple(
        KeptGroup(
            number,
            group.text,
            group.weldment[:200],
            kept_basis(group.basis),
            inquiry.quantities(number),
            _content(group.text, stock_version),
            group.warnings,
        )
        for number, group in enumerate(inquiry.groups)
    )


def _content(text: str, stock_version: int) -> str:
    """Return the fingerprint of all that a request's prices depend on, whatever the quantity."""
    request = {name: value for name, value in json.loads(text).items() if name not in _NOT_OF_PRICES}
    return content_of(request, stock_version, date.today())


def lines_to_keep(inquiry: Inquiry) -> list[dict[str, Any]]:
    """Return the lines of an inquiry as they are kept."""
    return [kept_line(line) for line in inquiry.lines]


def inquiry_of(quote: KeptQuote) -> Inquiry:
    """Return what a quote asks for."""
    groups = (AskedGroup(each.request, each.weldment, read_basis(each.basis), tuple(each.warnings)) for each in quote.groups)
    return Inquiry(quote.name, tuple(map(read_line, quote.lines)), tuple(groups), quote.price_only, quote.break_even)


def prices_of(quote: KeptQuote, group: KeptGroup) -> GroupPrices:
    """Return what is known of a group's prices."""
    facts = tuple(sorted(map(read_facts, group.facts), key=lambda each: each.quantity))
    return GroupPrices(read_basis(group.basis), tuple(group.quantities), facts, quote.break_even, quote.price_only)


def document_of(quote: KeptQuote) -> dict[str, Any]:
    """Return the quote document as far as its prices are known."""
    known = _told(quote)
    failed = {number: wrong for number, (_, wrong) in enumerate(known) if wrong}
    return quote_document(inquiry_of(quote), [prices for prices, _ in known], failed)


def lines_of(quote: KeptQuote, group: KeptGroup) -> list[dict[str, Any]]:
    """Return the lines of one group as plain JSON values."""
    prices = prices_of(quote, group)
    lines = (read_line(each) for each in quote.lines if each["group"] == group.number)
    return [line_model(line, group.weldment, prices, group.failed).plain() for line in lines]


def told(quote: KeptQuote, group: KeptGroup) -> bool:
    """Whether the prices of a group are told: not while its plans are under way, which may change them."""
    return group.ended is not None or not quote.open


def _told(quote: KeptQuote) -> list[tuple[GroupPrices, str | None]]:
    found = []
    for group in quote.groups:
        prices, whole = prices_of(quote, group), told(quote, group)
        found.append((prices if whole else replace(prices, facts=()), group.failed if whole else None))
    return found
