"""What `holdwright weldments` does with the weldments of a store."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from inventory.store import Connection, Store
from inventory.store.catalogue import ANY_VERSION
from service.command_line.arguments import signed
from service.command_line.exit_code import read_from
from service.command_line.plan import STANDARD_OUTPUT, refuse_unwritable
from service.command_line.printing.console import DONE, print_json, print_table, read_input
from service.command_line.sources import the_store
from service.files import laid_out, read_bytes, write_text
from service.records import stored_weldments as kept
from service.records.keys import KeyRecords
from service.records.stored_weldment import SourceFile, WeldmentVersion
from service.stored_weldments.changes import StoredChange, store_new, store_under
from service.stored_weldments.documents import version_head
from service.stored_weldments.reading import read_to_store
from service.text import printable
from service.text_table import Column


def list_weldments(text: str, db: str | None, as_json: bool) -> int:
    """Print the stored weldments with a text in their id or name."""
    with _weldments(db) as store:
        found = store.read(lambda connection: kept.find_weldments(connection, text))
    return _listed(found, "weldments", "no weldments are stored" if not text else "no stored weldment is called so", as_json)


def show_weldment(id: str, version: int | None, out: Path | None, db: str | None) -> int:
    """Print the document of a stored weldment, or write or draw it."""
    if out is not None:
        refuse_unwritable(out)
    with _weldments(db) as store:
        found = store.read(lambda connection: kept.weldment_version(connection, id, version))
    if out is not None and out.suffix.lower() == ".svg":
        from service.documents import read_weldment
        from service.drawings.weldment.views_sheet import weldment_svg

        write_text(out, weldment_svg(read_weldment(found.text)))
        return DONE
    text = laid_out(found.document()) + "\n"
    if out is None or out == STANDARD_OUTPUT:
        sys.stdout.write(text)
    else:
        write_text(out, text)
    return DONE


def add_weldment(
    file: Path, id: str | None, source: Path | None, who: str | None, why: str, db: str | None, as_json: bool
) -> int:  # fmt: skip
    """Store the weldment of a file, as the next version of an id that is there."""
    signature = signed(who, why)
    with read_from(file):
        read = read_to_store(read_input(file))
    came_from = None if source is None else _source(source)

    def act(connection: Connection) -> StoredChange:
        if id is None:
            return StoredChange(store_new(connection, None, read, signature, came_from), made=True)
        return store_under(connection, id, read, signature, ANY_VERSION, came_from)

    with _weldments(db, create=True) as store:
        done = store.write(act)
    if as_json:
        print_json(version_head(done.version).plain())
        return DONE
    version = done.version
    what = "is stored as" if done.made else "says the same already:"
    print(printable(f"{version.weldment} {what} version {version.number}"))
    return DONE


def list_versions(id: str, db: str | None, as_json: bool) -> int:
    """Print the versions of a stored weldment, newest first."""
    with _weldments(db) as store:
        found = store.read(lambda connection: kept.weldment_versions(connection, id))
    return _listed(found, "versions", "no versions", as_json)


def _listed(found: Sequence[WeldmentVersion], name: str, nothing: str, as_json: bool) -> int:
    heads = [version_head(each) for each in found]
    if as_json:
        print_json({name: [head.plain() for head in heads]})
        return DONE
    rows = [
        [
            head.id, head.version, head.name, head.parts, head.welds, head.at.date().isoformat(), head.by, head.why,
            "" if head.source is None else head.source.name,
        ]
        for head in heads
    ]  # fmt: skip
    wrapped = [Column(column, wraps=True) for column in ("by", "why", "read from")]
    print_table(["id", "version", Column("name", wraps=True), "parts", "welds", "since", *wrapped], rows, nothing)
    return DONE


def _source(file: Path) -> SourceFile:
    try:
        content = read_bytes(file)
    except InvalidDocument as bad:
        raise InvalidDocument([Fault("/source", fault.wrong, fault.accepted) for fault in bad.faults]) from None
    return SourceFile(file.name, file.suffix.lower().removeprefix("."), hashlib.sha256(content).hexdigest())


@contextmanager
def _weldments(db: str | None, create: bool = False) -> Iterator[Store]:
    with the_store(db, create) as store:
        KeyRecords(store).create()
        yield store
