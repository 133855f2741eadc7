"""`holdwright week`: which job stands on which table on which days, with which kit."""

from __future__ import annotations

import json
import sys
import time
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.reservations import Reservation
from service.command_line.arguments import signed
from service.command_line.exit_code import read_from
from service.command_line.plan import STANDARD_OUTPUT, refuse_unwritable
from service.command_line.printing.console import DONE, REFUSED, print_json, read_input
from service.command_line.printing.week import print_week
from service.command_line.sources import books_for, existing_store, with_weldments
from service.command_line.stock_counts import days_text
from service.documents.reading.text import read_text
from service.documents.week.question import LARGEST_WEEK, read_week
from service.files import laid_out, read_bytes, write_text
from service.settings import Settings
from service.stockroom.kits import PlannedKit
from service.stockroom.stock_source import StockSource, StoreStock, chosen_stock
from service.stockroom.weeks import planned_week, week_in_hand
from service.text import printable
from solver.deadline import Deadline
from solver.planning import plan


@dataclass(frozen=True, slots=True)
class Promised:
    """That the pieces of all jobs are to be promised: who signs, and why."""

    who: str | None
    why: str


def plan_week_file(
    question: Path, stock: Path | None, db: str | None, out: Path | None, chart: Path | None, promise: Promised | None,
    as_json: bool,
) -> int:  # fmt: skip
    """Plan the week of a file; return the exit code: 1 if a job is left over."""
    for file in (out, chart):
        if file is not None:
            refuse_unwritable(file)
    with read_from("settings"):
        currency = Settings.read().currency
    source = chosen_stock(stock, None if db is None and stock is not None else existing_store(db))
    with read_from(source):
        tables = set(source.snapshot().tables)
    with read_from(question):
        asked = read_week(with_weldments(source, _with_files(read_input(question), question.parent)), tables)
        shelf = source.by_day(asked.span)
        books = books_for(source, [job.request for job in asked.jobs if job.request is not None])
        hand = week_in_hand(asked, shelf, partial(_kept, source), plan, books=books)
    document = planned_week(hand, Deadline.on(time.monotonic, asked.time_limit_s))
    if out is not None:
        _write(out, laid_out(document) + "\n")
    if chart is not None:
        from service.drawings.weeks.chart import week_chart

        _write(chart, week_chart(document, currency))
    made = () if promise is None else _promised(source, document, question.stem, promise)
    if as_json:
        print_json(document)
    elif out != STANDARD_OUTPUT:
        print_week(document, currency)
        for each in made:
            print(f"reservation {each.id}: {printable(each.job)}, {days_text(each.span)}")
    return REFUSED if document["left_over"] else DONE


def _promised(source: StockSource, document: dict[str, Any], name: str, promise: Promised) -> list[Reservation]:
    """Promise the pieces of a week in one transaction of the store."""
    from service.stockroom.week_reservations import promise_week

    if not isinstance(source, StoreStock):
        raise InvalidDocument([Fault("/reserve", "a stock file promises nothing", "--db URL instead of --stock")])
    signature, today, store = signed(promise.who, promise.why), date.today(), source.store
    kits = partial(_kept, source)
    return store.write(lambda connection: promise_week(connection, f"week {name}", document, kits, signature, today))


def _with_files(raw: bytes, folder: Path) -> Any:
    """Return the question with the documents of files it names, by paths from its own folder, in their place."""
    text = read_text(raw, LARGEST_WEEK)
    values = text.values
    jobs = values.get("jobs") if isinstance(values, dict) else None
    if text.faults or not isinstance(jobs, list):
        return raw
    return {**values, "jobs": [_with_file(job, k, folder) for k, job in enumerate(jobs)]}


def _with_file(job: Any, k: int, folder: Path) -> Any:
    if not isinstance(job, dict):
        return job
    named = {name: job[name] for name in ("request", "plan") if isinstance(job.get(name), str)}
    found = dict(job)
    for name, path in named.items():
        if name == "request" or path.endswith(".json"):
            try:
                found[name] = json.loads(read_bytes(folder / path))
            except (InvalidDocument, ValueError) as bad:
                why = bad.faults[0].wrong if isinstance(bad, InvalidDocument) else "is no JSON document"
                raise InvalidDocument([Fault(f"/jobs/{k}/{name}", f"{path} {why}", "a JSON file beside the week's")]) from None
    return found


def _kept(source: StockSource, id: str) -> PlannedKit | None:
    """Return a finished plan of the store, None where there is none."""
    if not isinstance(source, StoreStock):
        raise InvalidDocument(
            [Fault("", "a stock file keeps no plans", "a file such as plan.json, or --db with the plan's store")]
        )
    from service.records.jobs import JobRecords
    from service.stockroom.reservations import kept_plan

    job = JobRecords(source.store, "", 1, 1).create().get(id)
    if job is not None and job.kind == "plan" and job.plan is not None:
        from service.documents import read_plan

        return PlannedKit(id, read_plan(dict(job.plan)), json.loads(job.request))
    try:
        return kept_plan(source.store, id)
    except InvalidDocument:
        return None


def _write(out: Path, text: str) -> None:
    if out == STANDARD_OUTPUT:
        sys.stdout.write(text)
    else:
        write_text(out, text)
