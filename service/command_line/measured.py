"""`holdwright measured`: how long setups and cycles took, beside what was predicted, and what that says of the time rules."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]})

Db = Annotated[
    str | None, typer.Option("--db", metavar="URL", help="The store [default: HOLDWRIGHT_DB, else sqlite:///holdwright.sqlite3].")
]
Who = Annotated[str | None, typer.Option("--who", metavar="NAME", help="Who signs for it [default: whoever is logged in].")]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON, and nothing else.")]
PlanId = Annotated[str, typer.Argument(metavar="PLAN", help="The plan's id.")]


@app.command()
def add(
    plan: PlanId,
    setup_minutes: Annotated[float | None, typer.Option("--setup-minutes", help="How long setting up took, minutes.")] = None,
    cycle_s: Annotated[
        float | None, typer.Option("--cycle-s", help="A cycle from weldment to weldment, seconds; of several the mean.")
    ] = None,
    rank: Annotated[int, typer.Option("--rank", min=1, help="Which of the plan's alternatives was built.")] = 1,
    set_before: Annotated[
        bool | None,
        typer.Option("--set-before/--first-time", help="Whether this plan had been set before [default: as it was priced]."),
    ] = None,
    arc_s: Annotated[float, typer.Option("--arc-s", help="Seconds of arc in the cycle, which the price does not count.")] = 0,
    setups: Annotated[int, typer.Option("--setups", help="Setups the minutes are the mean of.")] = 1,
    pieces: Annotated[int, typer.Option("--pieces", help="Weldments the cycle is the mean of.")] = 1,
    on: Annotated[str | None, typer.Option("--on", metavar="DAY", help="The day: YYYY-MM-DD or today [default: today].")] = None,
    note: Annotated[str, typer.Option("--note", help="What was special.")] = "",
    who: Who = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """Write down how long a setup or a cycle of a plan took.

    Prints it beside what the plan said.
    """
    from service.command_line.exit_code import run
    from service.command_line.measured_times import Told, add_measured

    told = Told(setup_minutes, cycle_s, rank, set_before, arc_s, setups, pieces, on, note)
    raise typer.Exit(run(lambda: add_measured(plan, told, who, db, json)))


@app.command("list")
def list_(
    plan: Annotated[str | None, typer.Argument(metavar="PLAN", help="Only of this plan.")] = None,
    most: Annotated[int, typer.Option("--most", min=1, max=5000, help="Newest reports to show.")] = 50,
    db: Db = None,
    json: Json = False,
) -> None:
    """List measured times beside predicted ones, and how far they agree.

    The newest come first.
    """
    from service.command_line.exit_code import run
    from service.command_line.measured_times import list_measured

    raise typer.Exit(run(lambda: list_measured(plan, most, db, json)))


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A list of measured times (.csv), or - for standard input.")],
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Find every fault; write nothing.")] = False,
    who: Who = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """Take a list of measured times in.

    Columns: plan, rank, setup_minutes, setups, set_before, cycle_s, arc_s, pieces, measured_on, note. All of it or nothing, every
    fault named by row; a list that was taken in before is refused.
    """
    from service.command_line.exit_code import run
    from service.command_line.measured_times import import_measured

    raise typer.Exit(run(lambda: import_measured(file, dry_run, who, db, json), file))


@app.command()
def withdraw(
    number: Annotated[int, typer.Argument(metavar="NUMBER", min=1, max=2**31 - 1, help="The report's number.")],
    why: Annotated[str, typer.Option("--why", metavar="TEXT", help="What is wrong with it.")],
    who: Who = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """Take a wrong report back.

    It is kept, with who and why, and counts no more.
    """
    from service.command_line.exit_code import run
    from service.command_line.measured_times import withdraw_measured

    raise typer.Exit(run(lambda: withdraw_measured(number, why, who, db, json)))


@app.command()
def fit(
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="FILE", help="Write the proposal (holdwright.time-proposal/1) here.")
    ] = None,
    chart: Annotated[
        Path | None, typer.Option("--chart", metavar="FILE", help="Draw measured over predicted times here, as SVG.")
    ] = None,
    book: Annotated[
        str | None, typer.Option("--book", metavar="BOOK", help="The rule book it is for [default: the one in use].")
    ] = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """Fit the time rules to all measured times and say how sure each is.

    Changes nothing: it prints the command that makes a new version of the rule book.
    """
    from service.command_line.exit_code import run
    from service.command_line.measured_times import fit_measured

    raise typer.Exit(run(lambda: fit_measured(out, chart, book, db, json)))
