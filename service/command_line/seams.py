"""`holdwright seams` as it is declared: the beads that a weldment offers, and welds on those that are chosen."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def seams(
    weldment: Annotated[
        Path, typer.Argument(metavar="WELDMENT", help="Weldment document (holdwright.weldment/1), or - for standard input.")
    ],
    choose: Annotated[
        list[str] | None,
        typer.Option(
            "--choose", "-c", metavar="WHICH",
            help="all, outside_corners, square_corners, two parts as POST+LUG, or a seam such as s3; may be given again.",
        ),
    ] = None,
    chosen_in: Annotated[
        Path | None, typer.Option("--from", metavar="SEAMS", help="Choose by this seams document, in which `chosen` is set.")
    ] = None,
    leg: Annotated[str | None, typer.Option("--leg", metavar="LENGTH", help="Leg of every fillet and lap, such as 4.")] = None,
    throat: Annotated[str | None, typer.Option("--throat", metavar="LENGTH", help="Throat of every other kind.")] = None,
    size: Annotated[
        list[str] | None,
        typer.Option(
            "--size", metavar="WHICH=SIZE",
            help="Size of a kind or of a seam, such as butt=3 or s3=5; z5 is a leg, a3 a throat; may be given again.",
        ),
    ] = None,
    in_fixture: Annotated[
        str, typer.Option("--in-fixture", metavar="HOW", help="How much is welded in the fixture: full, tack or none.")
    ] = "full",
    process: Annotated[str, typer.Option("--process", metavar="TEXT", help="Welding process, such as 135.")] = "",
    welded: Annotated[
        Path | None, typer.Option("--welded", metavar="FILE", help="Write the weldment with new welds here; - for stdout.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="FILE", help="Write the seams document here; - for standard output.")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", metavar="FILE", help="Draw the weldment with its numbered seams, SVG.")
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the seams document, or the weldment welded, and nothing else.")
    ] = False,
) -> None:  # fmt: skip
    """Propose welds where parts touch; weld those you choose.

    Without --choose or --from nothing is welded: seams are listed with proposed sizes, which are rules of thumb and yours to set.
    """
    from service.command_line.chosen_seams import AskedSeams, SeamFiles, propose_seams
    from service.command_line.exit_code import run

    asked = AskedSeams(tuple(choose or ()), chosen_in, leg, throat, tuple(size or ()), in_fixture, process)
    files = SeamFiles(welded, out, picture)
    raise typer.Exit(run(lambda: propose_seams(weldment, asked, files, as_json)))
