"""Stored weldments that documents name, looked up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import Any

from inventory.errors import Fault, refuse
from inventory.limits import shown, suggestion
from inventory.store import Connection
from inventory.store.errors import NotFound
from service.documents.stored_weldments.stored_version import FoundWeldments, WeldmentReference
from service.records import stored_weldments as kept
from service.records.database import Database
from service.records.stored_weldment import WeldmentVersion


def weldments_found(database: Database, references: Iterable[WeldmentReference]) -> FoundWeldments:
    """Return the documents of the stored weldments that are named, as one moment has them.

    Raises
    ------
    InvalidDocument
        With every weldment that is not there, and every document that says it is a version that says something else.
    """
    wanted = list(references)

    def action(connection: Connection) -> FoundWeldments:
        refuse(fault for each in wanted for fault in _faults(connection, each))
        named = {(each.id, each.version) for each in wanted if each.fingerprint is None}
        return {key: full_document(kept.weldment_version(connection, *key)) for key in named}

    return database.read(action) if wanted else {}


def full_document(version: WeldmentVersion) -> dict[str, Any]:
    """Return the document of a version, with the stored weldment that it is."""
    return {**version.document(), "stored": asdict(version.stored)}


def _faults(connection: Connection, named: WeldmentReference) -> Iterator[Fault]:
    at = named.at if named.fingerprint is None else f"{named.at}/stored"
    there = kept.kept_weldment(connection, named.id)
    if there is None:
        accepted = suggestion(named.id, kept.weldment_ids(connection), "a stored weldment")
        yield Fault(f"{at}/id", f"there is no stored weldment {shown(named.id)}", accepted)
        return
    try:
        version = kept.weldment_version(connection, named.id, named.version)
    except NotFound:
        accepted = "1, or none" if there.newest == 1 else f"1 to {there.newest}, or none for the newest"
        yield Fault(f"{at}/version", f"stored weldment {shown(named.id)} has no version {named.version}", accepted)
        return
    if named.fingerprint not in (None, version.fingerprint):
        wrong = f"version {version.number} of weldment {shown(named.id)} says something else here"
        yield Fault(f"{at}/fingerprint", wrong, f"{version.fingerprint}, or no `stored`")
