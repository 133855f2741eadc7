"""A plan file with the request and the stock it was made for, ready to be shown and drawn."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from inventory.errors import Fault
from inventory.stock import StockSnapshot
from service.command_line.exit_code import read_from
from service.command_line.sources import read_pair, read_question
from service.documents import read_plan
from service.documents.reading.fingerprint import plan_name, request_fingerprint
from service.documents.reading.text import read_text
from service.drawings.sheets.misfits import misfits
from service.drawings.subject import Identity, Paper, Subject
from service.errors import InvalidSource
from service.settings import Settings
from solver.plans import Alternative, Plan
from solver.request import Request


@dataclass(frozen=True, slots=True)
class FinishedPlan:
    """A plan with what it was made for, the file it was read from, what it is known by and the shop's currency."""

    plan: Plan
    request: Request
    stock: StockSnapshot
    file: Path
    identity: Identity
    currency: str

    @classmethod
    def read(cls, request: Path, plan: Path, stock: Path | None, db: str | None, usage: str) -> FinishedPlan:
        """Read the files a command names; raises InvalidSource, naming the file that is at fault."""
        with read_from("settings"):
            currency = Settings.read().currency
        asked, answered = read_pair(request, plan, usage)
        question, shelf, _ = read_question(asked, request, stock, db, answered)
        with read_from(plan):
            made = read_plan(answered)
        return cls(made, question, shelf, plan, identity_of(asked, answered, made, written_on(plan)), currency)

    def alternative(self, rank: int) -> Alternative:
        """Return the alternative of a rank; raises InvalidSource with the ranks there are."""
        found = self.plan.alternative(rank)
        if found is None:
            ranks = ", ".join(str(one.rank) for one in self.plan.alternatives)
            raise InvalidSource(self.file, [Fault("/alternatives", f"there is no rank {rank}", f"one of the ranks {ranks}")])
        return found

    def subject(self, alternative: Alternative, paper: Paper = "a4") -> Subject:
        """Return one of the alternatives as it is drawn.

        Raises
        ------
        InvalidSource
            It names a table, an item or a part that the stock or the request does not have.
        """
        if faults := misfits(alternative, self.request, self.stock):
            at = f"/alternatives/{self.plan.alternatives.index(alternative)}"
            raise InvalidSource(self.file, [fault.under(at) for fault in faults])
        return Subject(alternative, self.request, self.stock, self.identity, self.currency, paper)


def written_on(plan: Path) -> date | None:
    """Return the day a plan file was written (UTC), None for one that comes by standard input."""
    if plan == Path("-"):
        return None
    return datetime.fromtimestamp(plan.stat().st_mtime, UTC).date()


def identity_of(request: bytes, plan: bytes, made: Plan, made_on: date | None) -> Identity:
    """Return what tells a plan file from others: digits of it and of its request, the versions it names, the day it was made."""
    asked = request_fingerprint(read_text(request).values)
    return Identity(plan_name(plan), asked, made.rules_version, made.stock_version, made_on, made.rules_book)
