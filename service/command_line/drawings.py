"""The commands that draw weldments and hardware, and read hardware from files of other programs, as they are declared."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from service.command_line.options import Json, StockFile, StoreUrl

Out = Annotated[
    Path, typer.Option("--out", "-o", metavar="FILE", help="Write the drawing here; - for standard output, with --format.")
]
FormatName = Annotated[
    str | None, typer.Option("--format", metavar="NAME", help="Format by name [default: by the ending of FILE].")
]


def draw(
    document: Annotated[
        Path, typer.Argument(metavar="DOCUMENT", help="Weldment, request or item document, or - for standard input.")
    ],
    out: Out,
    format: FormatName = None,
    pitch: Annotated[
        float | None, typer.Option("--pitch", metavar="MM", min=1, max=1000, help="Lattice that an item's pegs are drawn at.")
    ] = None,
) -> None:
    """Draw a weldment or an item: STEP, DXF, SVG, GLB.

    Solids have true arcs, so that CAD shows tubes as tubes. Of a request its weldment is drawn. The ending of FILE says which
    format; one that is not known is refused with all there are.
    """
    from service.command_line.draw import draw_document
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: draw_document(document, out, format, pitch), document))


def draw_items(
    out: Out,
    items: Annotated[
        list[str] | None, typer.Argument(metavar="ITEM...", help="Items by id [default: the whole catalogue].")
    ] = None,
    stock: StockFile = None,
    db: StoreUrl = None,
    format: FormatName = None,
) -> None:
    """Draw hardware: STEP, DXF, SVG.

    One item lies in its own frame, many lie beside each other. Pegs are drawn at the pitch of the first table there is.
    """
    from service.command_line.draw import draw_items as draw
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: draw(items or [], stock, db, out, format)))


def read_item(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="STEP file of one piece of hardware.")],
    marks: Annotated[
        Path | None, typer.Option("--marks", metavar="FILE", help="What the file does not tell (holdwright.marks/1).")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", metavar="ITEM", help="Write the item document here.")] = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", metavar="FILE", help="Draw the item with its pegs and pads, SVG.")
    ] = None,
    start: Annotated[
        Path | None, typer.Option("--start", metavar="FILE", help="Write marks to be filled in, with every solid of the file.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Read hardware of your own from a STEP file.

    Its solids become the item's; pads, pegs, prices and times come from a file of marks. What came of it is looked at: pads that
    lie on no face, a normal that points inwards, a clamp whose tip is elsewhere. Exit code 1 if anything is wrong: then no item
    is written.
    """
    from service.command_line.exit_code import run
    from service.command_line.item_file import ItemFile, read_item_file

    raise typer.Exit(run(lambda: read_item_file(ItemFile(file, marks, out, picture, start), as_json), file))
