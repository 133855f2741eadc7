"""The command line `holdwright`: the same answers as the HTTP interface.

Exit codes: 0 done, 1 no plan or a failed check, 2 bad input. Heavy libraries are imported inside the commands, so that
`--help` answers at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from service.command_line import changed_rules, drawings, operations, plans, weldment_files
from service.command_line import keys as key_commands
from service.command_line import measured as measured_commands
from service.command_line import rules as rule_commands
from service.command_line import seams as seam_commands
from service.command_line import stock as stock_commands
from service.command_line import weldments as weldment_commands
from service.command_line.options import Cache, Json, PlanFile, RequestFile, StockFile, StoreUrl, Workers

app = typer.Typer(
    name="holdwright",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _print_version(asked: bool) -> None:
    if asked:
        from service.release import release

        print(f"holdwright {release()}")
        raise typer.Exit


@app.callback()
def holdwright(
    version: Annotated[
        bool, typer.Option("--version", callback=_print_version, is_eager=True, help="Print the release and stop.")
    ] = False,
) -> None:
    """The cheapest feasible welding fixture from counted modular hardware: computed, checked, explained."""


app.command("plan")(plans.plan)
app.command("replan")(plans.replan)


@app.command()
def check(
    request: RequestFile,
    plan: PlanFile,
    stock: StockFile = None,
    db: StoreUrl = None,
    everything: Annotated[bool, typer.Option("--all", help="List passed findings too.")] = False,
    as_json: Json = False,
) -> None:
    """Check a plan anew, from the documents alone.

    Nothing of the solver that made it is used. Exit code 1 if any check fails.
    """
    from service.command_line.check import check_plan
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: check_plan(request, plan, stock, db, everything, as_json)))


@app.command()
def show(
    request: RequestFile,
    plan: PlanFile,
    stock: StockFile = None,
    db: StoreUrl = None,
    rank: Annotated[int, typer.Option("--rank", metavar="N", help="Which of the plan's alternatives.")] = 1,
    everything: Annotated[bool, typer.Option("--all", help="Every alternative, one after another.")] = False,
) -> None:
    """Show a plan again: drawing, pieces, kit, load order.

    What `plan` printed, from the documents alone. Exit code 1 if the plan has no alternatives: then it says why.
    """
    from service.command_line.exit_code import run
    from service.command_line.show import show_plan

    raise typer.Exit(run(lambda: show_plan(request, plan, stock, db, rank, everything)))


@app.command()
def sheet(
    request: RequestFile,
    plan: PlanFile,
    out: Annotated[
        Path, typer.Option("--out", "-o", metavar="FILE", help="Write the sheet here; - for standard output, with --format.")
    ],
    stock: StockFile = None,
    db: StoreUrl = None,
    rank: Annotated[int, typer.Option("--rank", metavar="N", help="Which of the plan's alternatives.")] = 1,
    format: Annotated[
        str | None, typer.Option("--format", metavar="NAME", help="Format by name [default: by the ending of FILE].")
    ] = None,
    paper: Annotated[str, typer.Option("--paper", metavar="NAME", help="Paper it is printed on: a4 or letter.")] = "a4",
) -> None:
    """Write a plan's alternative as a drawing or a sheet.

    The ending of FILE says which format; one that is not known is refused with all there are. Exit code 1 if the plan has no
    alternatives: then it says why.
    """
    from service.command_line.exit_code import run
    from service.command_line.sheet import write_sheet

    raise typer.Exit(run(lambda: write_sheet(request, plan, stock, db, rank, out, format, paper)))


@app.command()
def why(
    request: RequestFile,
    plan: PlanFile,
    pin: Annotated[
        list[str] | None,
        typer.Option("--pin", metavar="PIECE", help="A piece it must contain, such as part=rail,item=square-60,as=side."),
    ] = None,
    avoid: Annotated[
        list[str] | None, typer.Option("--avoid", metavar="PIECE", help="A piece it may not contain, such as row=3 or piece=p4.")
    ] = None,
    rank: Annotated[int, typer.Option("--rank", metavar="N", help="The alternative it is compared with.")] = 1,
    stock: StockFile = None,
    db: StoreUrl = None,
    seconds: Annotated[
        float | None, typer.Option("--time-limit", metavar="S", help="Seconds to look for it [default: as the request].")
    ] = None,
    workers: Workers = None,
    as_json: Json = False,
) -> None:
    """Say what another choice would cost, or why it cannot be.

    The price difference of the cheapest fixture that keeps to what is forced. Exit code 1 if none was found.
    """
    from service.command_line.exit_code import run
    from service.command_line.why import ForcedChoice, ask_why

    forced = ForcedChoice(pin or [], avoid or [], rank, seconds)
    raise typer.Exit(run(lambda: ask_why(request, plan, forced, stock, db, workers, as_json)))


@app.command()
def quote(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="Inquiry (holdwright.inquiry/1, or CSV), or - for standard input.")
    ],
    stock: StockFile = None,
    db: StoreUrl = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="QUOTE", help="Write the quote document here; - for standard output.")
    ] = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write the lines as CSV here; - for standard output.")
    ] = None,
    curves: Annotated[
        Path | None,
        typer.Option("--curves", metavar="FOLDER", help="Draw each weldment's price over quantity, SVG files in this folder."),
    ] = None,
    plans: Annotated[
        Path | None, typer.Option("--plans", metavar="FOLDER", help="Leave the plans that the prices come from in this folder.")
    ] = None,
    workers: Annotated[
        int | None,
        typer.Option("--workers", metavar="N", min=1, max=64, help="Plans made at the same time [default: one a core]."),
    ] = None,
    cache: Cache = True,
    as_json: Json = False,
) -> None:
    """Price many weldments at many quantities.

    One plan serves all quantities at which its kit is the cheapest. A CSV file has columns weldment (a request file beside it, or
    with --db a plan's id), quantity, name, customer. Exit code 1 if a line has no price.
    """
    from service.command_line.exit_code import run
    from service.command_line.quote import quote as quote_file

    raise typer.Exit(run(lambda: quote_file(file, stock, db, out, csv, curves, plans, workers, cache, as_json)))


@app.command()
def week(
    question: Annotated[Path, typer.Argument(metavar="WEEK", help="Week document (holdwright.week/1), or - for standard input.")],
    stock: StockFile = None,
    db: StoreUrl = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="FILE", help="Write the planned week here; - for standard output.")
    ] = None,
    chart: Annotated[Path | None, typer.Option("--chart", metavar="FILE", help="Write it as a chart, SVG.")] = None,
    reserve: Annotated[bool, typer.Option("--reserve", help="Promise the pieces of every job, or of none; needs --db.")] = False,
    who: Annotated[str | None, typer.Option("--who", metavar="NAME", help="Who signs a reservation [default: you].")] = None,
    why: Annotated[str, typer.Option("--why", metavar="TEXT", help="The reason, for the journal.")] = "",
    as_json: Json = False,
) -> None:
    """Plan a week: which job on which table on which days with which kit.

    Tables and pieces are never over-used; cost, lateness and re-setting are least. Exit code 1 if a job is left over.
    """
    from service.command_line.exit_code import run
    from service.command_line.week import Promised, plan_week_file

    promise = Promised(who, why) if reserve else None
    raise typer.Exit(run(lambda: plan_week_file(question, stock, db, out, chart, promise, as_json), question))


@app.command()
def demo(
    job: Annotated[str | None, typer.Argument(metavar="JOB", help="Demo job to plan [default: the main one].")] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="FOLDER", help="Folder to leave files in [default: holdwright-demo]."),
    ] = None,
    workers: Workers = None,
    as_json: Json = False,
) -> None:
    """Plan a job of the demo shop and show it.

    Request, stock, plan and drawings are left behind as files, for the other commands to work on.
    """
    from service.command_line.demo import run_demo
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: run_demo(job, out, workers, as_json)))


@app.command()
def schema(
    name: Annotated[
        str,
        typer.Argument(
            metavar="NAME",
            help="weldment, reading, seams, table, item, stock, request, plan, why, inquiry, quote, week or week-plan.",
        ),
    ],
) -> None:
    """Print the JSON Schema of a document."""
    from service.command_line.exit_code import run
    from service.command_line.schema import print_schema

    raise typer.Exit(run(lambda: print_schema(name)))


@app.command()
def serve(
    host: Annotated[str | None, typer.Option(help="Address to listen on [default: 127.0.0.1].")] = None,
    port: Annotated[int | None, typer.Option(help="Port to listen on [default: 8765]; 0 takes a free one.")] = None,
    db: StoreUrl = None,
    demo: Annotated[bool, typer.Option("--demo", help="Fill an empty store with the demo shop's tables and stock.")] = False,
    settings: Annotated[
        bool, typer.Option("--settings", help="List every setting with its default, unit and range, and stop.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the settings as JSON.")] = False,
) -> None:
    """Serve the HTTP interface.

    Only this machine can reach it unless --host says otherwise, which needs a key first: `holdwright keys make`.
    """
    from service.command_line.exit_code import run
    from service.command_line.serve import list_settings, serve_http

    raise typer.Exit(run(lambda: list_settings(as_json) if settings else serve_http(host, port, db, demo)))


@app.command()
def sweep(
    db: StoreUrl = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Say what would go, and remove nothing.")] = False,
    as_json: Json = False,
) -> None:
    """Remove jobs, events, answers, messages and journal entries that have been kept long enough.

    How long is a setting for each, see `holdwright serve --settings`; a server does the same every hour. Plans that
    reservations refer to stay.
    """
    from service.command_line.exit_code import run
    from service.command_line.sweep import sweep_store

    raise typer.Exit(run(lambda: sweep_store(db, dry_run, as_json)))


@app.command()
def worker(
    db: StoreUrl = None,
    workers: Annotated[
        int | None, typer.Option("--workers", metavar="N", min=1, max=64, help="Jobs solved at the same time [default: 2].")
    ] = None,
) -> None:
    """Solve the jobs of servers on the same PostgreSQL database.

    Any number of workers on any number of machines; the servers run with HOLDWRIGHT_RUNNER=queue.
    """
    from service.command_line.exit_code import run
    from service.command_line.worker import work

    raise typer.Exit(run(lambda: work(db, workers)))


app.command("seams")(seam_commands.seams)
app.command("backup")(operations.backup)
app.command("restore")(operations.restore)
app.command("doctor")(operations.doctor)
app.command("read")(weldment_files.read)
app.command("breakpoints")(changed_rules.breakpoints)
app.command("draw")(drawings.draw)
stock_commands.app.command("draw")(drawings.draw_items)
stock_commands.app.command("read")(drawings.read_item)
rule_commands.app.command("what-if")(changed_rules.what_if)
app.add_typer(stock_commands.app, name="stock", help="Count, reserve, hand out and take back hardware.")
app.add_typer(measured_commands.app, name="measured", help="Report measured setups and cycles; fit the time rules to them.")
app.add_typer(rule_commands.app, name="rules", help="List and explain rules; keep, change, compare and use rule books.")
app.add_typer(weldment_commands.app, name="weldments", help="Keep weldments in versions that requests name; list and show them.")
app.add_typer(key_commands.app, name="keys", help="Make API keys, list and revoke them.")
# Reserving and taking back stand at the top too: they are said most often.
app.command("reserve")(stock_commands.reserve)
app.command("take-back")(stock_commands.take_back)


def main() -> None:
    """Run the command line."""
    app()
