"""`holdwright stock`: count, receive, break, list, import and export stock; reserve kits, hand them out, take them back."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

PerItem = "ITEM=PIECES"
app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]})

Db = Annotated[
    str | None, typer.Option("--db", metavar="URL", help="The store [default: HOLDWRIGHT_DB, else sqlite:///holdwright.sqlite3].")
]
Who = Annotated[str | None, typer.Option("--who", metavar="NAME", help="Who signs for it [default: whoever is logged in].")]
Why = Annotated[str, typer.Option("--why", metavar="TEXT", help="The reason, for the journal.")]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON, and nothing else.")]
First = Annotated[str | None, typer.Option("--from", metavar="DAY", help="First day: YYYY-MM-DD, today, or +3.")]
Last = Annotated[str | None, typer.Option("--to", metavar="DAY", help="Last day, itself included [default: the first].")]
ItemId = Annotated[str, typer.Argument(metavar="ITEM", help="The item's id.")]
Pieces = Annotated[int, typer.Argument(metavar="PIECES", help="How many.")]
Number = Annotated[int, typer.Argument(metavar="NUMBER", help="The reservation's number.")]


@app.command("list")
def list_(
    text: Annotated[str, typer.Argument(metavar="TEXT", help="Only items whose id or name holds this.")] = "",
    first: First = None,
    last: Last = None,
    bin: Annotated[str | None, typer.Option("--bin", help="Only what lies in this bin.")] = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """List what is counted, out of service, reserved and free.

    Free on every day from --from to --to; today if neither is given.
    """
    from service.command_line.exit_code import run
    from service.command_line.stock_counts import list_stock

    raise typer.Exit(run(lambda: list_stock(text, first, last, bin, db, json)))


@app.command()
def count(
    item: ItemId,
    count: Annotated[int, typer.Argument(metavar="COUNT", help="Pieces there are, on shelf, tables and repair bench together.")],
    out_of_service: Annotated[int | None, typer.Option("--out-of-service", help="Pieces of them that cannot be used.")] = None,
    bin: Annotated[str | None, typer.Option("--bin", help="Where they lie.")] = None,
    who: Who = None,
    why: Why = "counted",
    db: Db = None,
    json: Json = False,
) -> None:
    """Write down what was counted.

    Names the reservations and plans that are now short of pieces.
    """
    from service.command_line.exit_code import run
    from service.command_line.stock_counts import recount

    raise typer.Exit(run(lambda: recount(item, count, out_of_service, bin, who, why, db, json)))


@app.command()
def receive(item: ItemId, pieces: Pieces, who: Who = None, why: Why = "received", db: Db = None, json: Json = False) -> None:
    """Add pieces that arrived."""
    _entered("receive", item, pieces, who, why, db, json)


@app.command("break")
def break_(item: ItemId, pieces: Pieces, who: Who = None, why: Why = "broken", db: Db = None, json: Json = False) -> None:
    """Take broken pieces out of service.

    Names the reservations and plans that are now short of pieces.
    """
    _entered("break", item, pieces, who, why, db, json)


@app.command()
def repair(item: ItemId, pieces: Pieces, who: Who = None, why: Why = "repaired", db: Db = None, json: Json = False) -> None:
    """Put repaired pieces back into service."""
    _entered("repair", item, pieces, who, why, db, json)


@app.command()
def scrap(item: ItemId, pieces: Pieces, who: Who = None, why: Why = "scrapped", db: Db = None, json: Json = False) -> None:
    """Throw pieces away that are out of service."""
    _entered("scrap", item, pieces, who, why, db, json)


@app.command("import")
def import_(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="A stock list (.csv), or a stock document with tables and items (.json).")
    ],
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Find every fault and say what would change; write nothing.")
    ] = False,
    who: Who = None,
    why: Why = "imported",
    db: Db = None,
    json: Json = False,
) -> None:
    """Take a stock list or a stock document in.

    All of it or nothing, every fault named by row.
    """
    from service.command_line.exit_code import run
    from service.command_line.stock_lists import import_stock

    raise typer.Exit(run(lambda: import_stock(file, dry_run, who, why, db, json), file))


@app.command()
def export(
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="FILE", help="Write here [default: standard output].")
    ] = None,
    semicolons: Annotated[
        bool, typer.Option("--semicolons", help="Semicolons and decimal commas, where spreadsheets expect them.")
    ] = False,
    db: Db = None,
) -> None:
    """Write the stock as CSV for a spreadsheet.

    `stock import` reads it back.
    """
    from service.command_line.exit_code import run
    from service.command_line.stock_lists import export_stock

    raise typer.Exit(run(lambda: export_stock(out, semicolons, db)))


@app.command()
def journal(
    item: Annotated[str | None, typer.Argument(metavar="ITEM", help="Only this item.")] = None,
    most: Annotated[int, typer.Option("--most", min=1, max=1000, help="Newest entries to show.")] = 50,
    db: Db = None,
    json: Json = False,
) -> None:
    """Show who changed which count, when and why.

    The newest entries come first.
    """
    from service.command_line.exit_code import run
    from service.command_line.stock_counts import show_journal

    raise typer.Exit(run(lambda: show_journal(item, most, db, json)))


@app.command()
def hits(db: Db = None, json: Json = False) -> None:
    """Say which reservations and plans are short of pieces.

    By present counts; exit code 1 if any.
    """
    from service.command_line.exit_code import run
    from service.command_line.stock_counts import show_hits

    raise typer.Exit(run(lambda: show_hits(db, json)))


@app.command()
def advice(
    requests: Annotated[
        list[str], typer.Argument(metavar="REQUEST[@TIMES]...", help="Past or expected requests, each with how often it comes.")
    ],
    budget: Annotated[str, typer.Option("--budget", metavar="MONEY", help="Most that may be spent, such as 250 or 99.50.")],
    stock: Annotated[Path | None, typer.Option("--stock", metavar="FILE", help="A stock file, instead of a store.")] = None,
    seconds: Annotated[float, typer.Option("--time-limit", min=1, max=86400, help="Seconds to look for it.")] = 120,
    db: Db = None,
    json: Json = False,
) -> None:
    """Say which few pieces to buy for expected jobs.

    Those that lower the total cost of the jobs most within a budget, and what each piece saves.
    """
    from service.command_line.advice import advise
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: advise(requests, budget, seconds, stock, db, json)))


@app.command()
def reservations(
    state: Annotated[list[str] | None, typer.Option("--state", help="Only in this state; may be given more than once.")] = None,
    item: Annotated[str | None, typer.Option("--item", help="Only with pieces of this item.")] = None,
    first: First = None,
    last: Last = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """List reservations: number, job, state, days, pieces."""
    from service.command_line.exit_code import run
    from service.command_line.reservations import list_reservations

    raise typer.Exit(run(lambda: list_reservations(state or [], item, first, last, db, json)))


@app.command()
def reserve(
    plan: Annotated[Path | None, typer.Argument(metavar="PLAN", help="A plan document: its kit is reserved.")] = None,
    rank: Annotated[int, typer.Option("--rank", help="Which of the plan's alternatives.")] = 1,
    item: Annotated[list[str] | None, typer.Option("--item", metavar=PerItem, help="Without a plan: pieces by item.")] = None,
    job: Annotated[str, typer.Option("--job", metavar="TEXT", help="What the pieces are for.")] = "",
    first: First = None,
    last: Last = None,
    propose: Annotated[bool, typer.Option("--propose", help="Only write it down, promise nothing yet.")] = False,
    who: Who = None,
    why: Why = "",
    db: Db = None,
    json: Json = False,
) -> None:
    """Reserve a kit, or pieces by item, over a span of days.

    All lines or none; exit code 1 says what is short and from when more is free.
    """
    from service.command_line.exit_code import run
    from service.command_line.reservations import Wish, reserve_pieces

    wish = Wish(plan, rank, item or [], job, first, last, propose)
    raise typer.Exit(run(lambda: reserve_pieces(wish, who, why, db, json), plan or "holdwright"))


@app.command("take-back")
def take_back(
    number: Number,
    whole: Annotated[list[str] | None, typer.Option("--whole", metavar=PerItem, help="Pieces fit for use.")] = None,
    broken: Annotated[list[str] | None, typer.Option("--broken", metavar=PerItem, help="Pieces that go out of service.")] = None,
    missing: Annotated[
        list[str] | None, typer.Option("--missing", metavar=PerItem, help="Pieces that will not come back.")
    ] = None,
    rest: Annotated[bool, typer.Option("--rest", help="Everything not named comes back whole.")] = False,
    who: Who = None,
    why: Why = "",
    db: Db = None,
    json: Json = False,
) -> None:
    """Take a kit back, in whole or in part.

    With no pieces named, all that is outstanding comes back whole. Names the reservations and plans that broken and missing
    pieces leave short.
    """
    from service.command_line.exit_code import run
    from service.command_line.reservations import take_kit_back

    named = {"whole": whole or [], "broken": broken or [], "missing": missing or []}
    raise typer.Exit(run(lambda: take_kit_back(number, named, rest, who, why, db, json)))


@app.command("hand-out")
def hand_out(number: Number, who: Who = None, why: Why = "", db: Db = None, json: Json = False) -> None:
    """Give a reserved kit out to the table."""
    _stepped("hand_out", number, who, why, db, json)


@app.command()
def confirm(number: Number, who: Who = None, why: Why = "", db: Db = None, json: Json = False) -> None:
    """Reserve what was only proposed."""
    _stepped("confirm", number, who, why, db, json)


@app.command()
def release(number: Number, who: Who = None, why: Why = "", db: Db = None, json: Json = False) -> None:
    """Give a reservation up before its kit was handed out."""
    _stepped("release", number, who, why, db, json)


@app.command()
def move(
    number: Number, first: First = None, last: Last = None, who: Who = None, why: Why = "", db: Db = None, json: Json = False
) -> None:
    """Move a reservation to other days, all lines or none."""
    from service.command_line.exit_code import run
    from service.command_line.reservations import move_reservation

    raise typer.Exit(run(lambda: move_reservation(number, first, last, who, why, db, json)))


@app.command()
def expire(who: Who = None, why: Why = "not collected in time", db: Db = None, json: Json = False) -> None:
    """Expire the reservations not collected in time.

    Their pieces are free again.
    """
    from service.command_line.exit_code import run
    from service.command_line.reservations import expire_reservations

    raise typer.Exit(run(lambda: expire_reservations(who, why, db, json)))


def _entered(
    happened: Literal["receive", "break", "repair", "scrap"],
    item: str,
    pieces: int,
    who: str | None,
    why: str,
    db: str | None,
    json: bool,
) -> None:
    from service.command_line.exit_code import run
    from service.command_line.stock_counts import enter

    raise typer.Exit(run(lambda: enter(happened, item, pieces, who, why, db, json)))


def _stepped(
    step: Literal["hand_out", "confirm", "release"], number: int, who: str | None, why: str, db: str | None, json: bool
) -> None:
    from service.command_line.exit_code import run
    from service.command_line.reservations import take_step

    raise typer.Exit(run(lambda: take_step(step, number, who, why, db, json)))
