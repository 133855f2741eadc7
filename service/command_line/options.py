"""Arguments and options that several commands have, as they are declared."""

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
Workers = Annotated[
    int | None,
    typer.Option(
        "--workers", metavar="N", min=1, max=64, help="Processes at work [default: one a core]; the plan is the same for any N."
    ),
]
PlanOut = Annotated[
    Path | None, typer.Option("--out", "-o", metavar="PLAN", help="Write the plan document here; - for standard output.")
]
Cache = Annotated[
    bool, typer.Option("--cache/--no-cache", help="Use what earlier plans have found out; the plan is the same without.")
]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but faults.")]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON, and nothing else.")]
