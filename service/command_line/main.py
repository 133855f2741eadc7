"""The command line `holdwright`: the same answers as the HTTP interface.

Exit codes: 0 done, 1 no plan or a failed check, 2 bad input. Heavy libraries are imported inside the commands, so that
`--help` answers at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from service.command_line import stock as stock_commands

app = typer.Typer(
    name="holdwright",
    help="The cheapest feasible welding fixture from counted modular hardware: computed, checked, explained.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

RequestFile = Annotated[
    Path, typer.Argument(metavar="REQUEST", help="Request document (holdwright.request/1), or - for standard input.")
]
StockFile = Annotated[Path | None, typer.Option("--stock", metavar="FILE", help="Stock file with tables, items and counts.")]
StoreUrl = Annotated[
    str | None, typer.Option("--db", metavar="URL", help="Store with tables, items and counts, such as sqlite:///shop.sqlite3.")
]


@app.command()
def plan(
    request: RequestFile,
    stock: StockFile = None,
    db: StoreUrl = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="PLAN", help="Write the plan document here; - for standard output.")
    ] = None,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but faults.")] = False,
) -> None:
    """Compute the cheapest feasible fixture for a request and its ranked alternatives.

    Exit code 1 if there is none; the plan document then says why and what would help.
    """
    from service.command_line.exit_code import run
    from service.command_line.plan import plan_request

    raise typer.Exit(run(lambda: plan_request(request, stock, db, out, quiet)))


@app.command()
def check(
    request: RequestFile,
    plan: Annotated[Path, typer.Argument(metavar="PLAN", help="Plan document (holdwright.plan/1).")],
    stock: StockFile = None,
    db: StoreUrl = None,
    everything: Annotated[bool, typer.Option("--all", help="List passed findings too.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the findings as JSON.")] = False,
) -> None:
    """Re-check a plan independently of the solver that made it. Exit code 1 if any check fails."""
    from service.command_line.check import check_plan
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: check_plan(request, plan, stock, db, everything, as_json)))


@app.command()
def demo(
    job: Annotated[str | None, typer.Argument(metavar="[JOB]", help="Demo job to plan [default: the main one].")] = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="FOLDER", help="Put plan, drawing and documents here.")
    ] = None,
) -> None:
    """Plan a job of the demo shop, show it, and leave request, stock, plan and drawing behind."""
    from service.command_line.demo import run_demo
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: run_demo(job, out)))


@app.command()
def schema(name: Annotated[str, typer.Argument(metavar="NAME", help="weldment, table, item, stock, request or plan.")]) -> None:
    """Print the JSON Schema of a document."""
    from service.command_line.exit_code import run
    from service.command_line.schema import print_schema

    raise typer.Exit(run(lambda: print_schema(name)))


@app.command()
def rules(
    name: Annotated[
        str, typer.Argument(metavar="[NAME]", help="Only rules whose name starts so, such as torch; a full name: all of it.")
    ] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """List the rule book: every limit, weight, rate and price with its unit, range, meaning and source."""
    from service.command_line.exit_code import run
    from service.command_line.rules import print_rules

    raise typer.Exit(run(lambda: print_rules(name, as_json)))


@app.command()
def serve(
    host: Annotated[str | None, typer.Option(help="Address to listen on [default: 127.0.0.1].")] = None,
    port: Annotated[int | None, typer.Option(help="Port to listen on [default: 8765]; 0 takes a free one.")] = None,
    db: StoreUrl = None,
    demo: Annotated[bool, typer.Option("--demo", help="Fill an empty store with the demo shop's tables and stock.")] = False,
    settings: Annotated[
        bool, typer.Option("--settings", help="List every setting with its default, unit and range, and stop.")
    ] = False,
) -> None:
    """Serve the HTTP interface, on this machine only unless told otherwise."""
    from service.command_line.exit_code import run
    from service.command_line.serve import list_settings, serve_http

    raise typer.Exit(run(list_settings if settings else lambda: serve_http(host, port, db, demo)))


app.add_typer(stock_commands.app, name="stock", help="Count, take out of service, reserve and return hardware.")
# Reserve and return stand at the top too: they are said most often.
app.command("reserve")(stock_commands.reserve)
app.command("return")(stock_commands.return_)


def main() -> None:
    """Run the command line."""
    app()
