"""The commands about files of other programs, as they are declared: weldments read from them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from service.command_line.options import Json

Body = "NAME"


def read(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", help="STEP file, DXF drawing or CSV cut list; its content says which, with its ending."),
    ],
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="WELDMENT", help="Write the weldment document here; - for standard output."),
    ] = None,
    units: Annotated[
        str | None,
        typer.Option(
            "--units", metavar="UNIT", help="What its lengths are in: mm, cm, m, inch or foot [default: as the file says]."
        ),
    ] = None,
    thickness: Annotated[
        float | None, typer.Option("--thickness", metavar="MM", help="Of plates of a flat drawing, where nothing says another.")
    ] = None,
    layer_thickness: Annotated[
        list[str] | None,
        typer.Option("--layer-thickness", metavar="LAYER=MM", help="Of plates on this layer; may be given again."),
    ] = None,
    gap: Annotated[
        float | None, typer.Option("--gap", metavar="MM", help="Ends of lines no farther apart are joined [default: 0.05].")
    ] = None,
    as_body: Annotated[
        list[str] | None,
        typer.Option("--as-body", metavar=Body, help="A body that is no part takes up room as its outer body; * for every one."),
    ] = None,
    leave_out: Annotated[
        list[str] | None,
        typer.Option("--leave-out", metavar=Body, help="This body is left out; * for every one that is no part."),
    ] = None,
    fill_holes: Annotated[
        list[str] | None,
        typer.Option("--fill-holes", metavar=Body, help="Holes drilled through this solid are filled; * for every one."),
    ] = None,
    material: Annotated[
        str | None, typer.Option("--material", metavar="NAME", help="steel, stainless or aluminium [default: steel].")
    ] = None,
    name: Annotated[
        str, typer.Option("--name", metavar="TEXT", help="What the weldment is called [default: as the file says].")
    ] = "",
    report: Annotated[
        Path | None, typer.Option("--report", metavar="FILE", help="Write what was read here (holdwright.reading/1).")
    ] = None,
    picture: Annotated[Path | None, typer.Option("--picture", metavar="FILE", help="Draw what was read here, as SVG.")] = None,
    as_json: Json = False,
) -> None:
    """Read a weldment from a file of another program.

    The file is read in a process of its own, within limits. Exit code 1 if you have to say what becomes of a body: then it
    says which and what to add, and writes no weldment.
    """
    from service.command_line.exit_code import run
    from service.command_line.read_file import FileToRead, read_file

    said = (units, thickness, layer_thickness or (), gap, as_body or (), leave_out or (), fill_holes or (), material)
    words = FileToRead(file, out, report, picture, name, *said)
    raise typer.Exit(run(lambda: read_file(words, as_json), file))
