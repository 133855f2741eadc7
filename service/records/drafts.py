"""Drafts in the database: requests in the making, each with its last steps, so that they can be undone and done again.

A step has a number that no other state of the draft ever has: undo goes back to a lower one, and what is done then has a number
above all that were there before.
"""

from __future__ import annotations

import json
import re
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from inventory.limits import NAME_LENGTH, shown
from inventory.store.errors import NotFound, Stale
from service.records.database import Database
from service.records.draft import Draft, DraftEdit, DraftSummary
from service.records.jobs import as_text
from service.records.schema import draft_steps, drafts
from service.records.writes import Asked, note_write

KEPT_STEPS = 200
"""So many steps of a draft are kept at most."""
KEPT_CHARACTERS = 20_000_000
"""Of a draft with large documents fewer steps are kept: their texts together are about so long at most."""
WORDS_LENGTH = 200
_ID = re.compile(r"[0-9a-f]{16}")
Change = Callable[[Draft], DraftEdit | None]
"""What a change makes of a draft as it stands; None: nothing changes."""


@dataclass(frozen=True, slots=True)
class DraftRecords:
    """The tables of drafts, one transaction an operation; every change has its line in the journal of writes."""

    database: Database

    def make(self, document: Mapping[str, Any], words: str, asked: Asked) -> Draft:
        """Save a new draft, whose first step is a document."""

        def action(connection: sa.Connection) -> Draft:
            id = secrets.token_hex(8)
            values = {"id": id, "name": _name(document), "created_at": asked.at, "changed_at": asked.at, "made_by": asked.key}
            connection.execute(drafts.insert().values(**values, step=1, last_step=1))
            _put(connection, id, 1, document, words)
            note_write(connection, asked, 201)
            return _draft(connection, id)

        return self.database.write_beside(action)

    def get(self, id: str) -> Draft:
        """Return a draft as it stands; raises NotFound."""
        return self.database.read(lambda connection: _draft(connection, id))

    def change(self, id: str, change: Change, asked: Asked) -> Draft:
        """Take one step; what was undone before can no longer be done again.

        Raises
        ------
        NotFound
            There is no such draft.
        Stale
            Others changed it since the step the change is based on; nothing was changed.
        """

        def action(connection: sa.Connection) -> Draft:
            before = _held(connection, id)
            edit = change(before)
            if edit is None:
                return before
            _refuse_stale(before, edit.based_on)
            last = connection.execute(sa.select(drafts.c.last_step).where(drafts.c.id == id)).scalar_one()
            connection.execute(draft_steps.delete().where(draft_steps.c.draft == id, draft_steps.c.number > before.step))
            length = _put(connection, id, last + 1, edit.document, edit.words)
            _forget_oldest(connection, id, length)
            return self._moved(connection, id, asked, step=last + 1, last_step=last + 1, name=_name(edit.document))

        return self.database.write_beside(action)

    def undo(self, id: str, based_on: int, asked: Asked) -> Draft:
        """Go back to the step before; where there is none, stay; raises NotFound, Stale."""
        return self._step_to(id, based_on, asked, back=True)

    def redo(self, id: str, based_on: int, asked: Asked) -> Draft:
        """Do again what was undone last; where there is nothing, stay; raises NotFound, Stale."""
        return self._step_to(id, based_on, asked, back=False)

    def listed(self, before: DraftSummary | None = None, limit: int = 50) -> list[DraftSummary]:
        """Return drafts, those changed last first, behind `before`."""
        columns = drafts.c
        query = sa.select(*(columns[name] for name in DraftSummary.__dataclass_fields__))
        if before is not None:
            earlier = (columns.changed_at == before.changed_at) & (columns.id < before.id)
            query = query.where((columns.changed_at < before.changed_at) | earlier)
        newest = query.order_by(columns.changed_at.desc(), columns.id.desc()).limit(limit)
        return [DraftSummary(*row) for row in self.database.read(lambda c: c.execute(newest).all())]

    def remove(self, id: str, asked: Asked) -> None:
        """Remove a draft with all its steps; raises NotFound."""

        def action(connection: sa.Connection) -> None:
            _held(connection, id)
            connection.execute(drafts.delete().where(drafts.c.id == id))
            note_write(connection, asked, 204)

        self.database.write_beside(action)

    def _step_to(self, id: str, based_on: int, asked: Asked, back: bool) -> Draft:
        def action(connection: sa.Connection) -> Draft:
            before = _held(connection, id)
            _refuse_stale(before, based_on)
            to = _neighbour(connection, id, before.step, back)
            if to is None:
                return before
            name = _name(json.loads(to.document))
            return self._moved(connection, id, asked, step=to.number, name=name)

        return self.database.write_beside(action)

    def _moved(self, connection: sa.Connection, id: str, asked: Asked, **values: Any) -> Draft:
        connection.execute(drafts.update().where(drafts.c.id == id).values(**values, changed_at=asked.at))
        note_write(connection, asked, 200)
        return _draft(connection, id)


def _held(connection: sa.Connection, id: str) -> Draft:
    """Return a draft that nobody else changes before this transaction ends; raises NotFound."""
    if _ID.fullmatch(id):
        connection.execute(sa.select(drafts.c.id).where(drafts.c.id == id).with_for_update())
    return _draft(connection, id)


def _draft(connection: sa.Connection, id: str) -> Draft:
    columns = (drafts.c[name] for name in DraftSummary.__dataclass_fields__)
    row = connection.execute(sa.select(*columns).where(drafts.c.id == id)).one_or_none() if _ID.fullmatch(id) else None
    if row is None:
        raise NotFound("draft", shown(id))
    summary = DraftSummary(*row)
    here = (draft_steps.c.draft == id) & (draft_steps.c.number == summary.step)
    text, words = connection.execute(sa.select(draft_steps.c.document, draft_steps.c.words).where(here)).one()
    before, behind = (_neighbour(connection, id, summary.step, back) for back in (True, False))
    return Draft(summary, json.loads(text), None if before is None else words, None if behind is None else behind.words)


def _neighbour(connection: sa.Connection, id: str, step: int, back: bool) -> sa.Row[Any] | None:
    number = draft_steps.c.number
    query = sa.select(draft_steps).where(draft_steps.c.draft == id, number < step if back else number > step)
    return connection.execute(query.order_by(number.desc() if back else number).limit(1)).one_or_none()


def _refuse_stale(before: Draft, based_on: int) -> None:
    if based_on != before.step:
        raise Stale("draft", before.id, based_on, before.step)


def _put(connection: sa.Connection, id: str, number: int, document: Mapping[str, Any], words: str) -> int:
    """Write a step down; return how long its document is, characters."""
    text = as_text(document)
    values = {"draft": id, "number": number, "document": text, "words": words[:WORDS_LENGTH]}
    connection.execute(draft_steps.insert().values(values))
    return len(text)


def _forget_oldest(connection: sa.Connection, id: str, length: int) -> None:
    most = max(2, min(KEPT_STEPS, KEPT_CHARACTERS // max(1, length)))
    number = draft_steps.c.number
    numbers = sa.select(number).where(draft_steps.c.draft == id).order_by(number.desc()).offset(most).limit(1)
    newest_to_go = connection.execute(numbers).scalar_one_or_none()
    if newest_to_go is not None:
        connection.execute(draft_steps.delete().where(draft_steps.c.draft == id, number <= newest_to_go))


def _name(document: Mapping[str, Any]) -> str:
    """Return the weldment's name as a list shows it, empty if it has none that a database keeps."""
    weldment = document.get("weldment")
    name = weldment.get("name") if isinstance(weldment, Mapping) else None
    return "".join(c for c in name if c.isprintable())[:NAME_LENGTH] if isinstance(name, str) else ""
