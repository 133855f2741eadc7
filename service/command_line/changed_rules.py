"""The commands about changed rules, as they are declared: what they would do, how far they may move."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

RequestFile = Annotated[
    Path, typer.Argument(metavar="REQUEST", help="Request document (holdwright.request/1), or - for standard input.")
]
PlanFile = Annotated[Path, typer.Argument(metavar="PLAN", help="Plan document (holdwright.plan/1) made for that request.")]
StockFile = Annotated[Path | None, typer.Option("--stock", metavar="FILE", help="Stock file with tables, items and counts.")]
StoreUrl = Annotated[
    str | None, typer.Option("--db", metavar="URL", help="Store with tables, items and counts, such as sqlite:///shop.sqlite3.")
]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON, and nothing else.")]


def breakpoints(
    request: RequestFile,
    plan: PlanFile,
    rank: Annotated[int, typer.Option("--rank", min=1, metavar="N", help="Alternative whose limits are told.")] = 1,
    stock: StockFile = None,
    db: StoreUrl = None,
    as_json: Json = False,
) -> None:
    """Say how far each rule may move before a plan changes.

    Each alone: prices until another alternative is the cheapest, limits until this one is not allowed; exactly, without solving.
    """
    from service.command_line.breakpoints import print_breakpoints
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: print_breakpoints(request, plan, rank, stock, db, as_json)))
