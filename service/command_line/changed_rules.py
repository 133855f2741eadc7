"""The commands about changed rules, as they are declared: what they would do, how far they may move."""

from __future__ import annotations

from typing import Annotated

import typer

from service.command_line.options import Json, PlanFile, RequestFile, StockFile, StoreUrl


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


def what_if(
    changes: Annotated[list[str], typer.Argument(metavar="RULE=VALUE...", help="Rules with the numbers they would have.")],
    plan: Annotated[list[str] | None, typer.Option("--plan", metavar="ID", help="Only this plan; may be given again.")] = None,
    status: Annotated[str | None, typer.Option("--status", help="Only plans of this status: optimal or feasible.")] = None,
    name: Annotated[str | None, typer.Option("--name", metavar="TEXT", help="Only weldments with this in their name.")] = None,
    limit: Annotated[int, typer.Option("--limit", min=1, max=100_000, metavar="N", help="So many plans, newest first.")] = 1000,
    all_shown: Annotated[bool, typer.Option("--all", help="List plans that nothing changes for, too.")] = False,
    db: Annotated[
        str | None,
        typer.Option("--db", metavar="URL", help="The store [default: HOLDWRIGHT_DB, else sqlite:///holdwright.sqlite3]."),
    ] = None,
    as_json: Json = False,
) -> None:
    """Say what changed rules would do to the plans there are, without solving.

    Whose price changes by how much, whose ranking, who would break which limit. Exit code 1 if a plan's first alternative would.
    """
    from service.command_line.exit_code import run
    from service.command_line.what_if import AskedPlans, ask_what_if

    asked = AskedPlans(plan or [], status, name, limit, all_shown)
    raise typer.Exit(run(lambda: ask_what_if(changes, asked, db, as_json)))
