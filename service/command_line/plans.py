"""The commands that plan, as they are declared."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from service.command_line.options import Cache, Json, PlanOut, Quiet, RequestFile, StockFile, StoreUrl, Workers

PerItem = "ITEM=PIECES"


def plan(
    request: Annotated[
        Path,
        typer.Argument(
            metavar="REQUEST", help="Request or weldment document (holdwright.request/1, .weldment/1), or - for standard input."
        ),
    ],
    quantity: Annotated[
        int | None, typer.Option("--quantity", metavar="N", help="How many; this and what follows go with a weldment.")
    ] = None,
    table: Annotated[list[str] | None, typer.Option("--table", metavar="ID", help="On which table; may be given again.")] = None,
    down: Annotated[
        list[str] | None,
        typer.Option(
            "--down", metavar="SIDE", help="Side that may face the table, such as -z; may be given again [default: -z]."
        ),
    ] = None,
    turn: Annotated[
        list[float] | None,
        typer.Option("--turn", metavar="DEGREES", help="Turn that may follow; may be given again [default: 0, 90, 180, 270]."),
    ] = None,
    needed: Annotated[
        str | None, typer.Option("--needed", metavar="FROM..TO", help="Days, as 2027-03-01..2027-03-03 [default: one day].")
    ] = None,
    rule: Annotated[
        list[str] | None, typer.Option("--rule", metavar="RULE=VALUE", help="A rule that differs; may be given again.")
    ] = None,
    alternatives: Annotated[
        int | None, typer.Option("--alternatives", metavar="N", help="How many to look for [default: 5].")
    ] = None,
    seconds: Annotated[
        float | None, typer.Option("--time-limit", metavar="S", help="Most seconds to look for them [default: 20].")
    ] = None,
    question_out: Annotated[
        Path | None,
        typer.Option("--request-out", metavar="FILE", help="Write the request made of it here, for `check`, `show` and `sheet`."),
    ] = None,
    stock: StockFile = None,
    db: StoreUrl = None,
    out: PlanOut = None,
    workers: Workers = None,
    cache: Cache = True,
    quiet: Quiet = False,
    as_json: Json = False,
) -> None:
    """Compute the cheapest feasible fixture, with alternatives.

    Of a request, or of a weldment with what is asked of it. Exit code 1 if there is none; the plan document then says why and
    what would help.
    """
    from service.command_line.exit_code import run
    from service.command_line.plan import plan_request
    from service.command_line.weldment_run import WeldmentRun

    asked = WeldmentRun(quantity, table or (), down or (), turn or (), needed, rule or (), alternatives, seconds)
    raise typer.Exit(run(lambda: plan_request(request, asked, stock, db, out, question_out, workers, cache, quiet, as_json)))


def replan(
    request: RequestFile,
    plan: Annotated[Path, typer.Argument(metavar="PLAN", help="Plan document of which an alternative stands.")],
    stock: StockFile = None,
    db: StoreUrl = None,
    rank: Annotated[int, typer.Option("--rank", min=1, help="Which of the plan's alternatives stands.")] = 1,
    missing: Annotated[list[str] | None, typer.Option("--missing", metavar=PerItem, help="Pieces that are not there.")] = None,
    broken: Annotated[list[str] | None, typer.Option("--broken", metavar=PerItem, help="Pieces that are broken.")] = None,
    hole: Annotated[list[str] | None, typer.Option("--hole", metavar="HOLE", help="A hole not to be used: C7 or T2/B4.")] = None,
    out: PlanOut = None,
    question_out: Annotated[
        Path | None, typer.Option("--request-out", metavar="FILE", help="Write the new request here, for `check`.")
    ] = None,
    workers: Workers = None,
    cache: Cache = True,
    quiet: Quiet = False,
    as_json: Json = False,
) -> None:
    """Plan again with something missing, broken or blocked, changing as little as possible of what stands.

    Says step by step what the hands do. --missing, --broken and --hole may be given more than once.
    """
    from service.command_line.exit_code import run
    from service.command_line.replan import WhatChanged, replan_request

    changed = WhatChanged(rank, missing or (), broken or (), hole or ())
    raise typer.Exit(
        run(lambda: replan_request(request, plan, stock, db, changed, out, question_out, workers, cache, quiet, as_json))
    )
