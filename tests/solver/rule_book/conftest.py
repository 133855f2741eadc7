"""Small jobs planned and checked once, with a note of every rule that was read, row that was posted and finding that was made."""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

import pytest

from service.documents import plan_document, read_request, request_document
from solver.answer import alternative as writing
from solver.answer.findings.all import findings as findings_of
from solver.answer.findings.source import FindingSource
from solver.checks import check
from solver.deadline import Deadline
from solver.model.program import Program
from solver.planning import plan
from solver.plans import Finding
from solver.request import Request
from solver.rule_book.book import RuleBook
from solver.weldment import Material, Tolerance, Weldment
from tests import builders as b


@dataclass
class Notes:
    """What was seen while the jobs were planned: rules read, by package; families of rows; findings and their sources."""

    reads: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    families: set[str] = field(default_factory=set)
    sources: list[FindingSource] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


def of(weldment: Weldment, material: Material) -> Weldment:
    """A weldment of another material."""
    return replace(weldment, parts=tuple(replace(part, material=material) for part in weldment.parts))


def jobs() -> Iterable[Request]:
    """All three materials, a tolerance, tacks, a set-up done before, a further alternative."""
    plain = b.tab_on_tube()
    tolerance = Tolerance("tab", (200.0, 65.0, 50.0), (1.0, 0.0, 0.0), 2.0)
    yield b.request(replace(plain, tolerances=(tolerance,)), alternatives=1)
    tacked = replace(plain, welds=tuple(replace(weld, in_fixture="tack") for weld in plain.welds))
    yield b.request(of(tacked, "stainless"), set_before=True, alternatives=2)
    yield b.request(of(plain, "aluminium"), alternatives=1)


@pytest.fixture(scope="session")
def notes() -> Notes:
    """Read, plan and check the jobs; a plan's echo of its rules is left out, and so is whoever lists the whole book."""
    seen = Notes()
    get, row, findings = RuleBook.__getitem__, Program.row, findings_of

    def noted_get(book: RuleBook, name: str) -> float:
        reader = sys._getframe(1).f_globals["__name__"]
        if not reader.startswith("solver.rule_book"):
            seen.reads[".".join(reader.split(".")[:2])].add(name)
        return get(book, name)

    def noted_row(program: Program, family: str, *args: object, **more: object) -> None:
        seen.families.add(family.split(" ", maxsplit=1)[0])
        row(program, family, *args, **more)  # type: ignore[arg-type]

    def noted_findings(source: FindingSource) -> tuple[Finding, ...]:
        seen.sources.append(source)
        found = findings(source)
        seen.findings.extend(found)
        return found

    shelf = b.shelf((b.stop(), 8), (b.adjustable_stop(), 8), (b.rest("low", 10), 4), (b.riser(), 4), (b.down_clamp(), 6))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(RuleBook, "__getitem__", noted_get)
        patch.setattr(Program, "row", noted_row)
        patch.setattr(writing, "findings", noted_findings)
        for job in jobs():
            asked, _ = read_request(request_document(job), shelf)
            answer = plan(asked, shelf, deadline=Deadline.on(time.monotonic, 60))
            assert answer.status == "optimal"
            assert check(asked, shelf, plan_document(answer) | {"rules": {}}).findings
    return seen
