"""What a request takes for granted, in sentences: nothing is assumed that is not said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from service.page.jobs.listed_jobs import days_asked
from service.page.wording import counted, minutes
from service.weldments.asking.asked_rest import AskedRest

_NAMED = (
    ("pins", "piece pinned", "every alternative contains it"),
    ("avoid", "piece to avoid", "no alternative contains it"),
)


def assumed(rest: AskedRest, document: Mapping[str, Any], tables: int) -> tuple[str, ...]:
    """Return the sentences for what a draft asks for, where there are so many tables."""
    return tuple(_sentences(rest, document, tables))


def _sentences(rest: AskedRest, document: Mapping[str, Any], tables: int) -> Iterator[str]:
    yield _days(rest)
    if rest.shortage == "refuse":
        yield "Only pieces that are free on those days are used. If some are missing there is no plan, and what to buy is told."
    elif rest.lead_times and rest.needed is not None:
        yield "Missing pieces are bought at their price, if they can be here by the first day, counted from today."
    else:
        why = "" if rest.needed is not None else ", as no days are given"
        yield f"Missing pieces are bought at their price. Lead times are not checked{why}."
    if rest.tables is None:
        yield "Any table there is may be used." if tables != 1 else "The one table there is is used."
    if rest.down == ("-z",):
        yield "It lies as drawn; no other side may face the table."
    yield (
        "The set-up is new to whoever sets it."
        if not rest.set_before
        else "It was set before, so setting up takes less time, as the rule book says."
    )
    if rest.stations == "best":
        yield "As many equal fixtures stand on the table as are cheapest for the quantity."
    yield (
        "Every rule is as the rule book has it."
        if not rest.rules
        else f"{counted(len(rest.rules), 'rule')} {'differs' if len(rest.rules) == 1 else 'differ'} from the rule book, "
        "for this request alone."
    )
    yield f"After {minutes(rest.time_limit_s)} at most the best plan found by then is the answer, with how far it is proved."
    yield from _named(document)


def _days(rest: AskedRest) -> str:
    if rest.needed is None:
        return "No days are given: the hardware is held for one day, and what is free today counts."
    try:
        first, last = (date.fromisoformat(day) for day in rest.needed)
    except ValueError:
        return "The days cannot be read."
    count = (last - first).days + 1
    return f"The hardware is held for {counted(count, 'calendar day')}, {days_asked(first, last)}, both ends included."


def _named(document: Mapping[str, Any]) -> Iterator[str]:
    for name, words, meaning in _NAMED:
        entries = document.get(name)
        if isinstance(entries, list) and entries:
            meant = meaning if len(entries) == 1 else meaning.replace(" it", " them").replace("contains them", "contains them")
            yield f"{counted(len(entries), words, words.replace('piece', 'pieces'))}: {meant}."
    without = document.get("without")
    left_out = without if isinstance(without, dict) else {}
    if any(left_out.get(name) for name in ("items", "holes")):
        yield "Pieces or holes that the request leaves out are not used."
    if document.get("keep"):
        yield "As little as possible of an earlier plan is changed."
