"""A draft as values: a request in the making, the step it stands at, and what can be undone and redone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class DraftSummary:
    """A draft in a list; `step` is the number of the step it stands at, `made_by` the API key it was made with."""

    id: str
    name: str
    created_at: datetime
    changed_at: datetime
    step: int
    made_by: str | None


@dataclass(frozen=True, slots=True)
class Draft:
    """A request in the making as it stands.

    Parameters
    ----------
    summary : DraftSummary
        What a list shows of it.
    document : dict
        The request document at its step, plain values; incomplete or faulty it may be.
    undoes, redoes : str or None
        What the step that undo takes back did, and the one that redo does again; None if there is none.
    """

    summary: DraftSummary
    document: Mapping[str, Any]
    undoes: str | None = None
    redoes: str | None = None

    @property
    def id(self) -> str:
        """Its id."""
        return self.summary.id

    @property
    def step(self) -> int:
        """The number of the step it stands at; no other state of the draft ever has the same."""
        return self.summary.step


@dataclass(frozen=True, slots=True)
class DraftEdit:
    """One step to be taken.

    Parameters
    ----------
    document : dict
        What the draft is after it.
    words : str
        What it did, as people say it: ``added tube``.
    based_on : int
        The step it goes out from.
    """

    document: Mapping[str, Any]
    words: str
    based_on: int
