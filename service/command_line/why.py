"""`holdwright why`: what the cheapest fixture with a choice forced costs more than a planned one, or why there is none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inventory.errors import InvalidDocument
from service.command_line.exit_code import read_from
from service.command_line.printing.console import DONE, REFUSED, print_json, print_wrapped, read_input
from service.command_line.printing.progress_line import ProgressLine
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.single_solve import Question, cores, watched
from service.settings import Settings
from service.text import printable

if TYPE_CHECKING:
    from solver.why import WhyQuestion


@dataclass(frozen=True, slots=True)
class ForcedChoice:
    """What a command line forces: words such as ``part=rail,item=square-60,as=side``, the rank it is compared with, seconds."""

    pins: Sequence[str]
    avoid: Sequence[str]
    rank: int
    seconds: float | None

    def body(self) -> dict[str, Any]:
        """Return it as the document it stands for; raises InvalidDocument."""
        from service.documents.pins.piece_words import piece_entries

        (pins, wrong), (avoid, more) = piece_entries(self.pins, "pin"), piece_entries(self.avoid, "avoid")
        if wrong or more:
            raise InvalidDocument([*wrong, *more])
        limit = {} if self.seconds is None else {"time_limit_s": self.seconds}
        return {"rank": self.rank, "pins": pins, "avoid": avoid, **limit}


def ask_why(
    request: Path, plan: Path, forced: ForcedChoice, stock: Path | None, db: str | None, workers: int | None, as_json: bool
) -> int:
    """Answer one question about a plan file; return the exit code."""
    with read_from("settings"):
        settings = Settings.read()
    currency, ledgers = settings.currency, LedgerFiles.of(settings)
    with read_from(request):
        asked = read_input(request)
    with read_from(plan):
        answered = read_input(plan)
    with read_from("why"):
        body = forced.body()
    questions: list[WhyQuestion] = []

    def question() -> Question:
        from service.command_line.sources import read_question
        from service.documents import read_plan
        from service.documents.jobs.why import read_why

        whole, shelf, warnings = read_question(asked, request, stock, db, answered)
        with read_from(plan):
            made = read_plan(answered)
        with read_from("why"):
            put, seconds = read_why(body, made, whole, shelf)
        questions.append(put)
        return Question(put.forced(whole, seconds), shelf, warnings, workers or cores(), ledgers)

    with ProgressLine(currency, as_json) as line:
        found = watched(question, line.hear, line.tick)
    from service.documents.jobs.why import why_document
    from solver.why import WhyAnswer

    document = why_document(WhyAnswer(questions[0], found), currency)
    if as_json:
        print_json(document)
    else:
        _say(document)
    return DONE if found.alternatives else REFUSED


def _say(document: dict[str, Any]) -> None:
    print_wrapped(printable(document["text"]), "      ")
    for left in document["left_out"]:
        print_wrapped(printable(f"not tried: {left['text']}"), "      ")
