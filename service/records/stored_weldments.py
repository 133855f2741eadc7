"""Stored weldments in the database. Versions are only ever added; nothing of them is changed or removed."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import sqlalchemy as sa

from inventory.limits import shown
from inventory.store.errors import NotFound, known_as
from service.records.schema import stored_weldment_versions, stored_weldments
from service.records.stored_weldment import KeptWeldment, SourceFile, WeldmentVersion

_HEADS, _VERSIONS = stored_weldments.c, stored_weldment_versions.c
_PLAIN = tuple(name for name in WeldmentVersion.__dataclass_fields__ if name not in ("text", "source"))

_LISTED = tuple(column for column in stored_weldment_versions.columns if column.name != "document")
"""Documents may have a megabyte each; lists do without."""


def find_weldments(
    connection: sa.Connection, text: str | None = None, after: str = "", limit: int | None = None
) -> list[WeldmentVersion]:  # fmt: skip
    """Return the newest versions of stored weldments by id, behind `after`, without their documents.

    `text` is part of an id or a name, in any case.
    """
    newest = (_HEADS.id == _VERSIONS.weldment) & (_HEADS.newest == _VERSIONS.number)
    query = sa.select(*_LISTED).join(stored_weldments, newest).where(_HEADS.id > after)
    if text:
        query = query.where(_HEADS.id.icontains(text, autoescape=True) | _HEADS.name.icontains(text, autoescape=True))
    return [_version(row) for row in connection.execute(query.order_by(_HEADS.id).limit(limit))]


def weldment_ids(connection: sa.Connection) -> list[str]:
    """Return the ids of all stored weldments."""
    return [*connection.execute(sa.select(_HEADS.id).order_by(_HEADS.id)).scalars()]


def count_weldments(connection: sa.Connection) -> int:
    """Return how many stored weldments there are."""
    return int(connection.execute(sa.select(sa.func.count()).select_from(stored_weldments)).scalar_one())


def kept_weldment(connection: sa.Connection, id: str) -> KeptWeldment | None:
    """Return a stored weldment, None if there is none of that id."""
    row = connection.execute(sa.select(stored_weldments).where(_HEADS.id == id)).one_or_none()
    return None if row is None else KeptWeldment(row.id, row.name, row.newest)


def weldment_version(connection: sa.Connection, id: str, number: int | None = None) -> WeldmentVersion:
    """Return a version of a stored weldment, its newest if none is named; raises NotFound."""
    wanted = _there(connection, id).newest if number is None else number
    query = sa.select(stored_weldment_versions).where(_VERSIONS.weldment == id, _VERSIONS.number == wanted)
    row = connection.execute(query).one_or_none()
    if row is None:
        _there(connection, id)
        raise NotFound(f"version {wanted} of weldment", shown(id))
    return _version(row)


def weldment_versions(
    connection: sa.Connection, id: str, before: int | None = None, limit: int | None = None
) -> list[WeldmentVersion]:  # fmt: skip
    """Return the versions of a stored weldment without their documents, newest first, before that number; raises NotFound."""
    _there(connection, id)
    query = sa.select(*_LISTED).where(_VERSIONS.weldment == id).order_by(_VERSIONS.number.desc()).limit(limit)
    if before is not None:
        query = query.where(_VERSIONS.number < before)
    return [_version(row) for row in connection.execute(query)]


def add_weldment_version(connection: sa.Connection, added: WeldmentVersion) -> None:
    """Write a version down as the newest of its weldment, and the weldment with its first one."""
    if added.number == 1:
        connection.execute(stored_weldments.insert().values(id=added.weldment, name=added.name, newest=1))
    values = {name: getattr(added, name) for name in _PLAIN}
    source = None if added.source is None else asdict(added.source)
    connection.execute(stored_weldment_versions.insert().values(**values, document=added.text, source=source))
    head = stored_weldments.update().where(_HEADS.id == added.weldment)
    connection.execute(head.values(newest=added.number, name=added.name))


def _there(connection: sa.Connection, id: str) -> KeptWeldment:
    known_as("weldment", id)
    found = kept_weldment(connection, id)
    if found is None:
        raise NotFound("weldment", shown(id))
    return found


def _version(row: Any) -> WeldmentVersion:
    source = None if row.source is None else SourceFile(**row.source)
    return WeldmentVersion(**{name: getattr(row, name) for name in _PLAIN}, text=getattr(row, "document", ""), source=source)
