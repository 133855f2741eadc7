"""`holdwright plan`: read, solve in a watched child, write the document, print the ranked alternatives."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inventory.errors import Fault, InvalidDocument
from service.command_line.console import complain, note, read_input
from service.command_line.question import Unusable, read_question
from service.files import laid_out, write_text
from service.planning_jobs.job_folder import JobFolder
from service.planning_jobs.single_solve import InputFaulty, SolveDied, hand_over_faults, watched

if TYPE_CHECKING:
    from solver.plans import Plan

_DONE, _NO_PLAN, _BAD_INPUT = 0, 1, 2


def run_plan(request: Path, stock: Path | None, db: str | None, out: Path | None, quiet: bool) -> int:
    """Plan one request file; return the exit code."""
    if out is not None and not _writable(out):
        return _BAD_INPUT
    try:
        content = read_input(request)
    except InvalidDocument as bad:
        return complain(request, bad.faults)
    try:
        answer = watched(_Work(content, request, stock, db), _listener(quiet))
    except SolveDied as died:
        note(f"no plan: {died}")
        return _NO_PLAN
    except InputFaulty as bad:
        return complain(bad.source, bad.faults)
    if out is not None:
        _write(out, answer)
    if not quiet and out != Path("-"):
        from service.command_line.summary import print_plan

        print_plan(answer)
    return _DONE if answer.alternatives else _NO_PLAN


@dataclass(frozen=True, slots=True)
class _Work:
    """What the child does: read stock and request, solve; faults go back instead of a plan."""

    content: bytes
    request: Path
    stock: Path | None
    db: str | None

    def __call__(self, folder: JobFolder) -> None:
        from service.planning_jobs.child import PLANNER, solve

        try:
            request, shelf, warnings = read_question(self.content, self.request, self.stock, self.db)
        except Unusable as bad:
            hand_over_faults(folder, bad.source, bad.faults)
            return
        solve(PLANNER, request, shelf, folder, warnings)


def _writable(out: Path) -> bool:
    if out == Path("-") or (out.parent.is_dir() and not out.is_dir()):
        return True
    complain(out, [Fault("", "cannot be written there", "a file name in a folder that exists")])
    return False


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
