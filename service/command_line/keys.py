"""`holdwright keys`: make API keys, list and revoke them."""

from __future__ import annotations

from typing import Annotated

import typer

app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]})

Db = Annotated[
    str | None, typer.Option("--db", metavar="URL", help="The store [default: HOLDWRIGHT_DB, else sqlite:///holdwright.sqlite3].")
]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON, and nothing else.")]


@app.command()
def make(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Who or what will use it; signs for its changes.")],
    role: Annotated[str, typer.Option("--role", metavar="ROLE", help="reader, planner, storekeeper, engineer or admin.")],
    days: Annotated[
        int | None, typer.Option("--expires", metavar="DAYS", min=1, max=3650, help="Days until it expires [default: never].")
    ] = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """Make a key and print it, this once.

    From the first key on, the server answers nobody without one.
    """
    from service.command_line.api_keys import make_key
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: make_key(name, role, days, db, json)))


@app.command("list")
def list_(db: Db = None, json: Json = False) -> None:
    """List keys: name, role, state, how each begins.

    The keys themselves are kept nowhere.
    """
    from service.command_line.api_keys import list_keys
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: list_keys(db, json)))


@app.command()
def revoke(
    id: Annotated[str, typer.Argument(metavar="ID", help="The key's id, or how it begins, such as hw_5f0c91de.")],
    db: Db = None,
    json: Json = False,
) -> None:
    """Let a key open nothing any more.

    Browsers that signed in by it are shut out as well. Keys stay needed, even when the last one is revoked.
    """
    from service.command_line.api_keys import revoke_key
    from service.command_line.exit_code import run

    raise typer.Exit(run(lambda: revoke_key(id, db, json)))
