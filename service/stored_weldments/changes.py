"""Weldments stored: under an id of the user's or one made of its name, every change a new version; nothing is ever removed."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from itertools import count

from inventory.errors import Fault, refuse
from inventory.limits import ID_LENGTH, id_faults, name_faults, shown
from inventory.store import Connection, Note
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import AlreadyThere, NotFound, Stale
from service.records import stored_weldments as kept
from service.records.stored_weldment import SourceFile, WeldmentVersion
from service.stored_weldments.reading import ReadWeldment

MOST_WELDMENTS, MOST_VERSIONS = 10_000, 1_000
TAKEN = ("drawing", "read", "seams")
"""Ids that no stored weldment may have: they mean something else where an id stands."""
_NO_ID = re.compile(r"[^a-z0-9]+")
_ROOM = 8


@dataclass(frozen=True, slots=True)
class StoredChange:
    """A version, and whether it is new: the weldment that is stored already makes none."""

    version: WeldmentVersion
    made: bool


def store_new(
    connection: Connection, id: str | None, read: ReadWeldment, note: Note, source: SourceFile | None = None
) -> WeldmentVersion:  # fmt: skip
    """Store a weldment that is not there yet; without an id it gets one made of its name.

    Raises
    ------
    InvalidDocument
        The id is none, or there is no room for more.
    AlreadyThere
        There is a stored weldment of that id.
    """
    refuse([*weldment_id_faults(id), *_source_faults(source)] if id is not None else _source_faults(source))
    if id is not None and kept.kept_weldment(connection, id) is not None:
        raise AlreadyThere("weldment", shown(id))
    many = kept.count_weldments(connection)
    refuse([Fault("", f"{many:,} weldments are stored already", "at most so many")] if many >= MOST_WELDMENTS else [])
    version = _version(_free_id(connection, read.name) if id is None else id, 1, read, note, source)
    kept.add_weldment_version(connection, version)
    return version


def store_version(
    connection: Connection, id: str, read: ReadWeldment, note: Note, expected: int, source: SourceFile | None = None
) -> StoredChange:
    """Store the next version of a weldment; one that says what the newest says makes none.

    Parameters
    ----------
    expected : int
        The number of the version it is based on, or `ANY_VERSION`.

    Raises
    ------
    NotFound
        There is no such weldment.
    Stale
        Others changed it since.
    InvalidDocument
        There is no room for more versions.
    """
    refuse(_source_faults(source))
    before = kept.weldment_version(connection, id)
    if expected not in (ANY_VERSION, before.number):
        raise Stale("weldment", shown(id), expected, before.number)
    if before.fingerprint == read.fingerprint:
        return StoredChange(before, made=False)
    full = before.number >= MOST_VERSIONS
    refuse([Fault("", f"{before.number:,} versions are there already", "at most so many")] if full else [])
    version = _version(id, before.number + 1, read, note, source)
    kept.add_weldment_version(connection, version)
    return StoredChange(version, made=True)


def store_under(
    connection: Connection, id: str, read: ReadWeldment, note: Note, expected: int | None, source: SourceFile | None = None
) -> StoredChange:
    """Store a weldment under an id: the next version if there is one, else the first; raises as `store_new`, `store_version`.

    Parameters
    ----------
    expected : int or None
        The number of the version it is based on, or `ANY_VERSION`; None: there is none yet.
    """
    there = kept.kept_weldment(connection, id) if not list(weldment_id_faults(id)) else None
    if there is None and expected not in (None, ANY_VERSION):
        raise NotFound("weldment", shown(id))
    if there is None or expected is None:
        return StoredChange(store_new(connection, id, read, note, source), made=True)
    return store_version(connection, id, read, note, expected, source)


def weldment_id_faults(id: str) -> list[Fault]:
    """Return what is wrong with an id for a stored weldment."""
    faults = list(id_faults("/id", id))
    accepted = f"1 to {ID_LENGTH} characters, none of them / or @, and none of {', '.join(TAKEN)}"
    if not faults and (id in TAKEN or id in (".", "..") or {"/", "@"} & set(id)):
        faults.append(Fault("/id", f"a stored weldment cannot have the id {shown(id)}", accepted))
    return faults


def _free_id(connection: Connection, name: str) -> str:
    """Return an id made of a weldment's name that no stored weldment has."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", name.lower()) if not unicodedata.combining(c))
    stem = _NO_ID.sub("-", plain).strip("-")[: ID_LENGTH - _ROOM].strip("-") or "weldment"
    tried = (stem if number == 1 else f"{stem}-{number}" for number in count(1))
    return next(id for id in tried if not weldment_id_faults(id) and kept.kept_weldment(connection, id) is None)


def _source_faults(source: SourceFile | None) -> list[Fault]:
    if source is None:
        return []
    faults = [*name_faults("/source", source.name), *name_faults("/source_kind", source.kind)]
    if source.fingerprint and not re.fullmatch("[0-9a-f]{64}", source.fingerprint):
        wrong = f"{shown(source.fingerprint)} is no SHA-256"
        faults.append(Fault("/source_sha256", wrong, "64 hexadecimal digits, small letters"))
    return faults


def _version(id: str, number: int, read: ReadWeldment, note: Note, source: SourceFile | None) -> WeldmentVersion:
    said = (read.text, read.fingerprint, read.name, read.parts, read.welds)
    return WeldmentVersion(id, number, *said, note.who, note.why, note.at, source)
