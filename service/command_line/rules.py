"""`holdwright rules`: the rules the solver goes by, and the rule books that change them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]})

Db = Annotated[
    str | None, typer.Option("--db", metavar="URL", help="The store [default: HOLDWRIGHT_DB, else sqlite:///holdwright.sqlite3].")
]
Who = Annotated[str | None, typer.Option("--by", "--who", metavar="NAME", help="Who signs [default: whoever is logged in].")]
Why = Annotated[str, typer.Option("--why", metavar="TEXT", help="The reason, kept with the version.")]
Json = Annotated[bool, typer.Option("--json", help="Print the result as JSON, and nothing else.")]
Book = Annotated[
    str | None,
    typer.Option("--book", metavar="BOOK", help="A kept rule book, NAME or NAME@VERSION [default: built-in numbers]."),
]
BookName = Annotated[str, typer.Argument(metavar="BOOK", help="The rule book's name.")]


@app.command("list")
def list_(
    name: Annotated[str, typer.Argument(metavar="PREFIX", help="Only rules whose name starts so, such as torch.")] = "",
    book: Book = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """List the rules the solver goes by.

    Every limit, weight, rate and price with its unit, range, meaning and source; of a kept book, each value and where it comes
    from.
    """
    from service.command_line.exit_code import run

    def act() -> int:
        if book is None:
            from service.command_line.rule_records import print_rules

            return print_rules(name, json)
        from service.command_line.rule_books import list_rules

        return list_rules(name, book, db, json)

    raise typer.Exit(run(act))


@app.command()
def explain(
    rule: Annotated[str, typer.Argument(metavar="RULE", help="The rule's full name, such as clear.weld.")],
    book: Book = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """Say all that is known of a rule, and where its value in a kept book comes from."""
    from service.command_line.exit_code import run
    from service.command_line.rule_books import explain_rule

    raise typer.Exit(run(lambda: explain_rule(rule, book, db, json)))


@app.command()
def books(db: Db = None, json: Json = False) -> None:
    """List the kept rule books, and say which one is in use."""
    from service.command_line.exit_code import run
    from service.command_line.rule_books import list_books

    raise typer.Exit(run(lambda: list_books(db, json)))


@app.command("set")
def set_(
    book: BookName,
    values: Annotated[list[str] | None, typer.Argument(metavar="RULE=VALUE", help="Rules and new values; lengths in mm.")] = None,
    why: Why = "",
    customer: Annotated[bool, typer.Option("--customer", help="A book that is made is a customer's, not the shop's.")] = False,
    base: Annotated[
        str | None, typer.Option("--base", metavar="BASE", help="The book it starts from: NAME, or NAME@VERSION.")
    ] = None,
    unset: Annotated[list[str] | None, typer.Option("--unset", metavar="RULE", help="A rule that is as in the base.")] = None,
    follow: Annotated[bool, typer.Option("--follow", help="Move the books that start from it along.")] = False,
    who: Who = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """Change a rule book by a new version, or make one.

    Plans keep the version they were made with. Books that start from it are named; they stay as they are without --follow.
    """
    from service.command_line.exit_code import run
    from service.command_line.rule_books import BookWords, set_rules

    words = BookWords(book, values or (), unset or (), base, customer, follow)
    raise typer.Exit(run(lambda: set_rules(words, who, why, db, json)))


@app.command()
def diff(
    one: Annotated[str, typer.Argument(metavar="BOOK", help="NAME or NAME@VERSION; default: the built-in numbers.")],
    other: Annotated[
        str | None, typer.Argument(metavar="OTHER", help="What it is compared with [default: its newest version].")
    ] = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """Compare two versions of rule books.

    The rules whose values differ, each with the book it comes from.
    """
    from service.command_line.exit_code import run
    from service.command_line.rule_books import compare_books

    raise typer.Exit(run(lambda: compare_books(one, other, db, json)))


@app.command()
def history(book: BookName, db: Db = None, json: Json = False) -> None:
    """List the versions of a rule book, newest first: who made each, when and why."""
    from service.command_line.exit_code import run
    from service.command_line.rule_books import show_versions

    raise typer.Exit(run(lambda: show_versions(book, db, json)))


@app.command()
def use(
    book: Annotated[
        str, typer.Argument(metavar="BOOK", help="NAME: always its newest version; NAME@VERSION; default: the built-in numbers.")
    ],
    why: Why = "",
    who: Who = None,
    db: Db = None,
    json: Json = False,
) -> None:
    """Have a rule book of the shop count where requests name none.

    Jobs that were taken in before keep theirs.
    """
    from service.command_line.exit_code import run
    from service.command_line.rule_books import put_in_use

    raise typer.Exit(run(lambda: put_in_use(book, who, why, db, json)))


@app.command()
def export(
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="FILE", help="Write the document here [default: standard output].")
    ] = None,
    db: Db = None,
) -> None:
    """Write all rule books with all their versions as one document."""
    from service.command_line.exit_code import run
    from service.command_line.rule_books import export_books

    raise typer.Exit(run(lambda: export_books(out, db)))


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Document (holdwright.rule-books/1), or - for standard input.")],
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Say what would be new, and write nothing.")] = False,
    db: Db = None,
    json: Json = False,
) -> None:
    """Take rule books of another store in: all that are new, or none.

    Which book is in use stays as it is.
    """
    from service.command_line.exit_code import run
    from service.command_line.rule_books import import_books

    raise typer.Exit(run(lambda: import_books(file, dry_run, db, json)))
