"""`holdwright plan`: read, solve in a watched child, write the document, print the ranked alternatives."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inventory.errors import Fault
from service.command_line.console import DONE, REFUSED, note, read_input
from service.command_line.exit_code import read_from
from service.errors import InvalidSource
from service.files import laid_out, write_text
from service.planning_jobs.job_folder import JobFolder
from service.planning_jobs.single_solve import hand_over_faults, watched

if TYPE_CHECKING:
    from solver.plans import Plan


def plan_request(request: Path, stock: Path | None, db: str | None, out: Path | None, quiet: bool) -> int:
    """Plan one request file; return the exit code."""
    if out is not None:
        _refuse_unwritable(out)
    with read_from(request):
        content = read_input(request)
    answer = watched(_Work(content, request, stock, db), _listener(quiet))
    if out is not None:
        _write(out, answer)
    if not quiet and out != Path("-"):
        from service.command_line.summary import print_plan

        print_plan(answer)
    return DONE if answer.alternatives else REFUSED


@dataclass(frozen=True, slots=True)
class _Work:
    """What the child does: read stock and request, solve; faults go back instead of a plan."""

    content: bytes
    request: Path
    stock: Path | None
    db: str | None

    def __call__(self, folder: JobFolder) -> None:
        from service.command_line.sources import read_question
        from service.planning_jobs.child import solve
        from solver.planning import plan

        try:
            request, shelf, warnings = read_question(self.content, self.request, self.stock, self.db)
        except InvalidSource as bad:
            hand_over_faults(folder, bad.source, bad.faults)
            return
        solve(plan, request, shelf, folder, warnings)


def _refuse_unwritable(out: Path) -> None:
    if out != Path("-") and (not out.parent.is_dir() or out.is_dir()):
        raise InvalidSource(out, [Fault("", "cannot be written there", "a file name in a folder that exists")])


def _write(out: Path, answer: Plan) -> None:
    from service.documents import plan_document

    text = laid_out(plan_document(answer)) + "\n"
    if out == Path("-"):
        sys.stdout.write(text)
    else:
        write_text(out, text)


def _listener(quiet: bool) -> Callable[[dict[str, Any]], None]:
    """Return what shows events while the child solves: warnings always, progress on a terminal only."""
    live = not quiet and sys.stderr.isatty()

    def show(event: dict[str, Any]) -> None:
        if "pid" in event:
            for warning in event["warnings"]:
                note(f"warning: {warning}")
        elif live:
            line = "  ".join(f"{name} {value}" for name, value in event.items() if value is not None)
            sys.stderr.write(f"\r\x1b[K{line[:120]}")
            sys.stderr.flush()

    return show
