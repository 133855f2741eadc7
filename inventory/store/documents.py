"""Rule books and weldments: every version kept, none ever changed; plans with the kits of their alternatives."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

import sqlalchemy as sa

from inventory.availability import Span
from inventory.errors import Fault, refuse
from inventory.limits import PIECES, RANK, VERSION, Limit, id_faults, name_faults
from inventory.store.catalogue import ANY_VERSION
from inventory.store.errors import NotFound, Stale, known_as
from inventory.store.notes import Note
from inventory.store.schema import documents, plan_kits, plans

_RULES_VERSION = Limit(0, 2**31 - 1, whole=True)
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
class StoredPlan:
    """A plan somebody means to build: its document, the request it answers, the days its hardware is needed."""

    id: str
    request: dict[str, Any] | None
    document: dict[str, Any]
    first_day: date
    last_day: date
    stock_version: int | None
    rules_version: int | None
    who: str
    at: datetime
    why: str


def put_document(
    connection: sa.Connection, kind: DocumentKind, name: str, document: Mapping[str, Any], note: Note, expected: int = ANY_VERSION
) -> Version:
    """Write the next version of a document; `expected` is the version it follows (`ANY_VERSION`: whichever is newest)."""
    refuse([*name_faults("/name", name), *([] if name.strip() else [Fault("/name", "no name", "1 to 200 characters")])])
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
    known_as(kind, name)
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


def keep_plan(
    connection: sa.Connection, id: str, document: Mapping[str, Any], request: Mapping[str, Any] | None, span: Span, note: Note
) -> StoredPlan:
    """Keep a plan document and the kits of its alternatives; a plan that is kept already stays as it is.

    From then on a breakage or a recount names the plan if its kit is no longer free over `span`.

    Raises
    ------
    InvalidDocument
        If its versions or its kits have figures or names that no column holds.
    """
    if connection.execute(sa.select(sa.func.count()).where(plans.c.id == id)).scalar_one():
        return plan(connection, id)
    versions = {key: document.get(key) for key in ("stock_version", "rules_version")}
    kits = _kits(id, document)
    refuse(_column_faults(versions, kits))
    signed = {"who": note.who, "at": note.at, "why": note.why}
    row = {"id": id, "request": request, "document": dict(document), "first_day": span.first, "last_day": span.last}
    connection.execute(sa.insert(plans).values(**row, **versions, **signed))
    if kits:
        connection.execute(sa.insert(plan_kits), kits)
    return plan(connection, id)


def plan(connection: sa.Connection, id: str) -> StoredPlan:
    """Return one kept plan; raises NotFound."""
    known_as("plan", id)
    row = connection.execute(_plans().where(plans.c.id == id)).one_or_none()
    if row is None:
        raise NotFound("plan", id)
    return StoredPlan(*row)


def find_plans(connection: sa.Connection, before: datetime | None = None, limit: int = 100) -> list[StoredPlan]:
    """Return kept plans, newest first, kept before a moment."""
    query = _plans().order_by(plans.c.at.desc(), plans.c.id).limit(limit)
    return [StoredPlan(*row) for row in connection.execute(query if before is None else query.where(plans.c.at < before))]


def _kits(id: str, document: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the kit lines of every alternative: pieces from the shelf, without those it would buy."""
    pieces: dict[tuple[int, str], int] = {}
    for alternative in document.get("alternatives") or ():
        for line in alternative.get("kit") or ():
            key = (int(alternative["rank"]), str(line["item"]))
            pieces[key] = pieces.get(key, 0) + int(line["count"]) - int(line.get("buy") or 0)
    return [{"plan": id, "plan_rank": rank, "item": item, "pieces": count} for (rank, item), count in pieces.items() if count > 0]


def _column_faults(versions: Mapping[str, Any], kits: Sequence[Mapping[str, Any]]) -> Iterator[Fault]:
    for key, limit in (("stock_version", VERSION), ("rules_version", _RULES_VERSION)):
        if versions[key] is not None:
            yield from limit.faults(f"/{key}", versions[key])
    for kit in kits:
        found = [
            *RANK.faults("/rank", kit["plan_rank"]),
            *id_faults("/item", kit["item"]),
            *PIECES.faults("/count", kit["pieces"]),
        ]
        where = f"the kit of rank {kit['plan_rank']}"
        yield from (Fault("/alternatives", f"{where}: {fault.wrong} ({fault.pointer[1:]})", fault.accepted) for fault in found)


def _versions() -> sa.Select[Any]:
    return sa.select(*(documents.c[name] for name in Version.__dataclass_fields__))


def _plans() -> sa.Select[Any]:
    return sa.select(*(plans.c[name] for name in StoredPlan.__dataclass_fields__))
