"""`holdwright weldments`: the weldments a store keeps, in versions."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]})

Db = Annotated[
    str | None, typer.Option("--db", metavar="URL", help="The store [default: HOLDWRIGHT_DB, else sqlite:///holdwright.sqlite3].")
]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON, and nothing else.")]
WeldmentId = Annotated[str, typer.Argument(metavar="ID", help="The stored weldment's id.")]


@app.command("list")
def list_(
    text: Annotated[str, typer.Argument(metavar="TEXT", help="Only those with this in their id or name.")] = "",
    db: Db = None,
    json: Json = False,
) -> None:
    """List the stored weldments, each as its newest version has it."""
    from service.command_line.exit_code import run
    from service.command_line.stored_weldments import list_weldments

    raise typer.Exit(run(lambda: list_weldments(text, db, json)))


@app.command()
def show(
    id: WeldmentId,
    version: Annotated[int | None, typer.Option("--version", metavar="N", help="Which version [default: the newest].")] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="Where it is written, *.json or *.svg [default: to standard output]."),
    ] = None,
    db: Db = None,
) -> None:
    """Print the document of a stored weldment, or write it to a file; to an .svg, it is drawn."""
    from service.command_line.exit_code import run
    from service.command_line.stored_weldments import show_weldment

    raise typer.Exit(run(lambda: show_weldment(id, version, out, db)))


@app.command()
def add(
    file: Annotated[Path, typer.Argument(metavar="WELDMENT", help="A weldment document; - reads standard input.")],
    id: Annotated[
        str | None, typer.Option("--id", metavar="ID", help="What requests name it by [default: made of its name].")
    ] = None,
    source: Annotated[
        Path | None, typer.Option("--source", metavar="FILE", help="The file it was read from; its name and SHA-256 are kept.")
    ] = None,
    who: Annotated[
        str | None, typer.Option("--by", "--who", metavar="NAME", help="Who signs [default: whoever is logged in].")
    ] = None,
    why: Annotated[str, typer.Option("--why", metavar="TEXT", help="The reason, kept with the version.")] = "",
    db: Db = None,
    json: Json = False,
) -> None:
    """Store a weldment: under an id that is there already as its next version."""
    from service.command_line.exit_code import run
    from service.command_line.stored_weldments import add_weldment

    raise typer.Exit(run(lambda: add_weldment(file, id, source, who, why, db, json)))


@app.command()
def history(id: WeldmentId, db: Db = None, json: Json = False) -> None:
    """List the versions of a stored weldment, newest first: who stored each, when, why and from which file."""
    from service.command_line.exit_code import run
    from service.command_line.stored_weldments import list_versions

    raise typer.Exit(run(lambda: list_versions(id, db, json)))
