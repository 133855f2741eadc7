"""Rule books and weldments: every version kept, none ever changed; plans with the kits of their alternatives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

import sqlalchemy as sa

from inventory.availability import Span
from inventory.errors import Fault, refuse
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import NotFound, Stale
from inventory.store.notes import Note
from inventory.store.schema import documents, plan_kits, plans

DocumentKind = Literal["rule_book", "weldment"]


@dataclass(frozen=True, slots=True)
class Version:
    """One version of a named document."""

    kind: DocumentKind
    name: str
    version: int
    document: dict[str, Any]
    who: str
    at: datetime
    why: str


@dataclass(frozen=True, slots=True)
class SavedPlan:
    """A planning job's row: its request, its state, and the plan document once there is one."""

    id: str
    state: str
    request: dict[str, Any]
    document: dict[str, Any] | None
    stock_version: int | None
    rules_version: int | None
    created_at: datetime
    finished_at: datetime | None
    version: int


def put_document(
    connection: sa.Connection, kind: DocumentKind, name: str, document: Mapping[str, Any], note: Note, expected: int = ANY_VERSION
) -> Version:
    """Write the next version of a document; `expected` is the version it follows (`ANY_VERSION`: whichever is newest)."""
    refuse([Fault("/name", f"{len(name)} characters", "1..200 characters")] if not 1 <= len(name) <= 200 else [])
    newest = newest_version(connection, kind, name)
    if expected not in (ANY_VERSION, newest):
        raise Stale(kind, name, expected, newest)
    written = Version(kind, name, newest + 1, dict(document), note.who, note.at, note.why)
    connection.execute(sa.insert(documents).values({field: getattr(written, field) for field in Version.__dataclass_fields__}))
    return written


def newest_version(connection: sa.Connection, kind: DocumentKind, name: str) -> int:
    """Return the number of the newest version, 0 if there is none."""
    here = (documents.c.kind == kind, documents.c.name == name)
    return connection.execute(sa.select(sa.func.max(documents.c.version)).where(*here)).scalar_one() or 0


def document(connection: sa.Connection, kind: DocumentKind, name: str, version: int | None = None) -> Version:
    """Return a version of a document, the newest unless one is named; raises NotFound."""
    number = newest_version(connection, kind, name) if version is None else version
    here = (documents.c.kind == kind, documents.c.name == name, documents.c.version == number)
    row = connection.execute(_versions().where(*here)).one_or_none()
    if row is None:
        raise NotFound(kind, name if version is None else f"{name} version {version}")
    return Version(*row)


def versions(connection: sa.Connection, kind: DocumentKind, name: str) -> list[Version]:
    """Return every version of a document, newest first."""
    query = _versions().where(documents.c.kind == kind, documents.c.name == name).order_by(documents.c.version.desc())
    return [Version(*row) for row in connection.execute(query)]


def document_names(connection: sa.Connection, kind: DocumentKind, after: str = "", limit: int = 100) -> list[str]:
    """Return the names of a kind's documents, behind `after`."""
    query = sa.select(documents.c.name).distinct().where(documents.c.kind == kind, documents.c.name > after)
    return list(connection.execute(query.order_by(documents.c.name).limit(limit)).scalars())


def add_plan(
    connection: sa.Connection, id: str, request: Mapping[str, Any], state: str, created_at: datetime, span: Span | None
) -> SavedPlan:
    """Write a planning job down; `span` are the days its hardware is needed (None: not known)."""
    days: dict[str, date | None] = {"first_day": span.first if span else None, "last_day": span.last if span else None}
    row = {"id": id, "state": state, "request": dict(request), "created_at": created_at, "version": 1}
    connection.execute(sa.insert(plans).values(**row, **days))
    return plan(connection, id)


def change_plan(
    connection: sa.Connection,
    id: str,
    state: str,
    document: Mapping[str, Any] | None = None,
    finished_at: datetime | None = None,
) -> SavedPlan:
    """Write a job's new state, and its plan document with the kits of every alternative once there is one."""
    there = plan(connection, id)
    row: dict[str, Any] = {"state": state, "version": there.version + 1}
    if finished_at is not None:
        row["finished_at"] = finished_at
    if document is not None:
        row |= {"document": dict(document), **{key: document.get(key) for key in ("stock_version", "rules_version")}}
        connection.execute(sa.delete(plan_kits).where(plan_kits.c.plan == id))
        kits = _kits(id, document)
        if kits:
            connection.execute(sa.insert(plan_kits), kits)
    connection.execute(sa.update(plans).where(plans.c.id == id).values(**row))
    return plan(connection, id)


def plan(connection: sa.Connection, id: str) -> SavedPlan:
    """Return one plan; raises NotFound."""
    row = connection.execute(_plans().where(plans.c.id == id)).one_or_none()
    if row is None:
        raise NotFound("plan", id)
    return SavedPlan(*row)


def find_plans(connection: sa.Connection, states: Sequence[str] = (), limit: int = 100) -> list[SavedPlan]:
    """Return plans, newest first, in any of the states (none named: all)."""
    query = _plans().order_by(plans.c.created_at.desc(), plans.c.id).limit(limit)
    if states:
        query = query.where(plans.c.state.in_(states))
    return [SavedPlan(*row) for row in connection.execute(query)]


def _kits(id: str, document: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the kit lines of every alternative: pieces from the shelf, without those it would buy."""
    pieces: dict[tuple[int, str], int] = {}
    for alternative in document.get("alternatives") or ():
        for line in alternative.get("kit") or ():
            key = (int(alternative["rank"]), str(line["item"]))
            pieces[key] = pieces.get(key, 0) + int(line["count"]) - int(line.get("buy") or 0)
    return [{"plan": id, "plan_rank": rank, "item": item, "pieces": count} for (rank, item), count in pieces.items() if count > 0]


def _versions() -> sa.Select[Any]:
    return sa.select(*(documents.c[name] for name in Version.__dataclass_fields__))


def _plans() -> sa.Select[Any]:
    return sa.select(*(plans.c[name] for name in SavedPlan.__dataclass_fields__))
