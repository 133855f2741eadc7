"""`holdwright quote`: prices for many weldments and quantities at once."""

from __future__ import annotations

import json
import signal
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

from inventory.errors import Fault, InvalidDocument
from service.command_line.exit_code import read_from
from service.command_line.plan import STANDARD_OUTPUT, refuse_unwritable
from service.command_line.printing.console import DONE, REFUSED, note, print_json, print_table, read_input
from service.command_line.sources import existing_store, with_weldments
from service.documents.quotes.group_prices import GroupPrices
from service.documents.quotes.inquiry import FORMAT, LARGEST_INQUIRY, Inquiry, books_named, plans_named, read_inquiry
from service.documents.quotes.quote import quote_document
from service.documents.reading.text import read_text
from service.documents.rule_books.known_books import BUILT_IN, BookReference, Books
from service.errors import InvalidSource
from service.exchange import quote_csv
from service.files import laid_out, read_bytes, write_bytes, write_text
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.single_solve import cores
from service.quotes.single_quote import SingleQuote
from service.settings import Settings
from service.stockroom.stock_source import StockSource, StoreStock, chosen_stock
from service.text import money
from service.text_table import Column
from solver.planning import plan


def quote(
    file: Path, stock: Path | None, db: str | None, out: Path | None, csv: Path | None, curves: Path | None, plans: Path | None,
    workers: int | None, cache: bool, as_json: bool,
) -> int:  # fmt: skip
    """Quote the lines of a file; return the exit code."""
    for each in (out, csv):
        if each is not None:
            refuse_unwritable(each)
    for folder in (curves, plans):
        if folder is not None and not folder.is_dir():
            raise InvalidSource(folder, [Fault("", "there is no such folder", "a folder that exists")])
    with read_from("settings"):
        settings = Settings.read()
    source = chosen_stock(None, existing_store(db)) if stock is None and db is not None else chosen_stock(stock, None)
    with read_from(source):
        shelf = source.snapshot()
    with read_from(file):
        asked = _values(file, read_input(file))
        plans_kept = {id: _kept(source, id) for id in plans_named(asked)}
        asked = with_weldments(source, asked)
        books = _books(source, books_named(asked, plans_kept.values()))
        inquiry = read_inquiry(asked, shelf, plans_kept.get, settings.time_limit, books)
    work = SingleQuote(
        inquiry, source, plan, settings, workers or cores(), LedgerFiles.of(settings) if cache else None,
        lambda place, quantity, document: _keep(plans, place, quantity, document),
        lambda place, prices: _tell(inquiry, place, prices),
    )  # fmt: skip
    with _stopped_by_interrupt(work):
        prices = work.worked_out()
    document = quote_document(inquiry, prices, work.failed)
    _write(document, out, csv)
    if curves is not None:
        _draw(inquiry, prices, curves, settings.currency)
    if as_json:
        print_json(document)
    elif STANDARD_OUTPUT not in (out, csv):
        _say(document, settings.currency)
    return DONE if all(line["lot_cents"] is not None for line in document["lines"]) else REFUSED


def _values(file: Path, raw: bytes) -> Any:
    """Return the inquiry as plain values; a CSV file's weldments are request files beside it, or ids of plans."""
    if file.suffix.lower() == ".json" or raw.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"{"):
        text = read_text(raw, LARGEST_INQUIRY)
        return raw if text.faults else text.values
    requests: dict[str, Any] = {}
    lines = []
    beside = Path() if file == STANDARD_OUTPUT else file.parent
    faults: list[Fault] = []
    for row in quote_csv.read(raw):
        path = beside / row.weldment
        wants: dict[str, Any] = {"plan": row.weldment}
        if path.is_file():
            wants = {"request": row.weldment}
            if row.weldment not in requests:
                try:
                    text = read_text(read_bytes(path))
                    requests[row.weldment] = text.values
                    faults += [fault.under(f"/rows/{row.row}/weldment") for fault in text.faults]
                except InvalidDocument as bad:
                    faults += [fault.under(f"/rows/{row.row}/weldment") for fault in bad.faults]
        lines.append({**wants, "quantity": row.quantity, "name": row.name, "customer": row.customer})
    if faults:
        raise InvalidDocument(faults)
    return {"format": FORMAT, "requests": requests, "lines": lines}


def _kept(source: StockSource, id: str) -> Mapping[str, Any] | None:
    """Return the request of a plan that the store keeps."""
    if not isinstance(source, StoreStock):
        raise InvalidDocument(
            [Fault("", f"there is no file {id}, and a stock file keeps no plans", "a request file, or --db URL")]
        )
    from service.records.jobs import JobRecords

    text = JobRecords(source.store, "", 1, 1).create().request_of(id)
    return None if text is None else json.loads(text)


def _books(source: StockSource, references: Sequence[BookReference]) -> Books:
    """Return the rule books that requests may start from: those of a store, or the built-in numbers where there is none."""
    if not isinstance(source, StoreStock):
        return BUILT_IN
    from service.records.keys import KeyRecords
    from service.rule_books.reading import known_books

    return known_books(KeyRecords(source.store).create().database, references)


def _keep(folder: Path | None, place: int, quantity: int, document: Mapping[str, Any]) -> str:
    name = f"plan-{place + 1}-{quantity}.json"
    if folder is not None:
        write_text(folder / name, laid_out(document) + "\n")
    return name


def _tell(inquiry: Inquiry, place: int, prices: GroupPrices) -> None:
    lines = sum(line.group == place for line in inquiry.lines)
    said = (
        f"{inquiry.groups[place].weldment or 'weldment'}: {lines} line{'s' if lines != 1 else ''} from {len(prices.facts)} plans"
    )
    if sys.stderr.isatty():
        note(said)


@contextmanager
def _stopped_by_interrupt(work: SingleQuote) -> Iterator[None]:
    """End the work with what is known on Ctrl-C; a second one ends the program."""

    def stop(number: int, frame: FrameType | None) -> None:
        signal.signal(signal.SIGINT, signal.default_int_handler)
        work.stop()

    before = signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _write(document: dict[str, Any], out: Path | None, csv: Path | None) -> None:
    if out is not None:
        text = laid_out(document) + "\n"
        if out == STANDARD_OUTPUT:
            sys.stdout.write(text)
        else:
            write_text(out, text)
    if csv is not None:
        content = quote_csv.written(document["lines"])
        if csv == STANDARD_OUTPUT:
            sys.stdout.buffer.write(content)
        else:
            write_bytes(csv, content)


def _draw(inquiry: Inquiry, prices: list[GroupPrices], folder: Path, currency: str) -> None:
    from service.drawings.prices.price_curve import price_curve

    for place, each in enumerate(prices):
        if each.known.pieces:
            drawn = price_curve(
                inquiry.groups[place].weldment, each.known, each.basis, each.quantities, each.break_even, currency
            )
            write_text(folder / f"prices-{place + 1}.svg", drawn)


def _say(document: dict[str, Any], currency: str) -> None:
    unit = f", {currency}" if currency else ""
    columns: list[Column | str] = [
        *(
            Column(heading, wraps=heading == "weldment", right=heading != "weldment")
            for heading in ("line", "weldment", "quantity")
        ),
        *(Column(heading, right=True) for heading in (f"each{unit}", f"lot{unit}", "setup h", "cycle s")),
        Column("proved"),
        *(Column(heading, right=True, group="fixture pays") for heading in ("from", "up to")),
        Column("note", wraps=True),
    ]
    print_table(columns, [_row(line) for line in document["lines"]], "no lines")
    lines, plans = document["lines"], sum(each["plans"] for each in document["requests"])
    print(f"{len(lines)} lines, {len(document['requests'])} weldments, {plans} plans")


def _row(line: Mapping[str, Any]) -> list[str]:
    even, gap = line["break_even"] or {}, line["gap"]
    proved = "" if gap is None else "yes" if line["status"] == "optimal" else f"gap {100 * gap:.1f} %"
    return [
        str(line["line"]),
        " ".join(filter(None, (line["name"] or line["weldment"], line["customer"]))),
        str(line["quantity"]),
        _amount(line["piece_cents"]),
        _amount(line["lot_cents"]),
        "" if line["setup_hours"] is None else f"{line['setup_hours']:.2f}",
        "" if line["cycle_s"] is None else str(line["cycle_s"]),
        proved,
        _crossing(even, "by_hand_from"),
        _crossing(even, "dedicated_up_to"),
        "; ".join([*line["because"], *_purchases(line["short"])]),
    ]


def _purchases(short: Mapping[str, Any] | None) -> Iterator[str]:
    if short is not None:
        pieces = ", ".join(f"{each['count']} {each['item']}" for each in short["pieces"])
        then = short["then_total_cents"]
        yield f"buys {pieces} for {money(short['buying_cents'])}" + ("" if then is None else f", then the lot is {money(then)}")


def _crossing(even: Mapping[str, Any], name: str) -> str:
    if not even:
        return ""
    return "never" if even[name] is None else str(even[name])


def _amount(cents: int | None) -> str:
    return "" if cents is None else money(cents)
