"""The command line `holdwright`: the same answers as the HTTP interface.

Exit codes: 0 done, 1 no plan or a failed check, 2 bad input. Heavy libraries are imported inside the commands, so that
`--help` answers at once.
"""

from __future__ import annotations

import importlib
import importlib.util
from pathlib import Path
from typing import Annotated

import typer

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
    from service.command_line.plan import run_plan

    raise typer.Exit(run_plan(request, stock, db, out, quiet))


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
    from service.command_line.check import run_check

    raise typer.Exit(run_check(request, plan, stock, db, everything, as_json))


@app.command()
def demo(
    job: Annotated[str | None, typer.Argument(metavar="[JOB]", help="Demo job to plan [default: the main one].")] = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="FOLDER", help="Put plan, drawing and documents here.")
    ] = None,
) -> None:
    """Plan a job of the demo shop, show it, and leave request, stock, plan and drawing behind."""
    from service.command_line.demo import run_demo

    raise typer.Exit(run_demo(job, out))


@app.command()
def schema(name: Annotated[str, typer.Argument(metavar="NAME", help="weldment, table, item, stock, request or plan.")]) -> None:
    """Print the JSON Schema of a document."""
    from service.command_line.rules import print_schema

    raise typer.Exit(print_schema(name))


@app.command()
def rules(
    name: Annotated[
        str, typer.Argument(metavar="[NAME]", help="Only rules whose name starts so, such as torch; a full name: all of it.")
    ] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """List the rule book: every limit, weight, rate and price with its unit, range, meaning and source."""
    from service.command_line.rules import print_rules

    raise typer.Exit(print_rules(name, as_json))


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
    from service.command_line.serve import run_serve

    raise typer.Exit(run_serve(host, port, db, demo, settings))


def _mount(command: str, module: str, help: str) -> None:
    """Hang the commands of another module's `app` under ours, if that module is installed."""
    if importlib.util.find_spec(module) is not None:
        app.add_typer(importlib.import_module(module).app, name=command, help=help)


_mount("stock", "service.command_line.stock", "Count, take out of service, reserve and return hardware.")


def _mount_short() -> None:
    """Reserve and return stand at the top too: they are said most often."""
    from service.command_line import stock

    app.command("reserve")(stock.reserve)
    app.command("return")(stock.return_)


_mount_short()


def main() -> None:
    """Run the command line."""
    app()
