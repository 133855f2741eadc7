"""Findings on accuracy: locating error at every toleranced point, and what shrinkage might take, as a proposal."""

from __future__ import annotations

from collections.abc import Iterator

from solver.accuracy.shrinkage import proposals
from solver.answer.findings.source import FindingSource, limit_from
from solver.plans import Finding
from solver.position.locating_errors import deviations_at


def points(source: FindingSource) -> Iterator[Finding]:
    """Yield for every toleranced point the worst-case locating error and the root-sum-square."""
    problem = source.fixture.problem
    share = source.rules["locate.tolerance_share"]
    for tolerance, error in deviations_at(problem, source.fixture.choice.candidates):
        limit = share * tolerance.plus_minus
        subject = tolerance.part if tolerance.relative_to is None else f"{tolerance.part} {tolerance.relative_to}"
        at = ", ".join(f"{number:g}" for number in tolerance.point)
        along = ", ".join(f"{number:.3g}" for number in tolerance.direction)
        where = f"at ({at}) along ({along}), locating alone, limit {share:g} x +-{tolerance.plus_minus:g} mm"
        worst = f"worst-case error {where}: absolute influences x repeatability and increments"
        text = f"{worst}; source: Cai, Hu & Yuan 1997{limit_from('locate.tolerance_share')}"
        yield Finding("locate.tolerance_share", subject, round(error.worst_mm, 6), limit, "mm", True, text)
        text = f"root-sum-square error {where}: what is likely if errors are independent; not a limit of the plan"
        yield Finding("locate.root_sum_square", subject, round(error.rss_mm, 6), limit, "mm", True, text)


def shrinkage(source: FindingSource) -> Iterator[Finding]:
    """Yield for every weld the stop offset that shrinkage across it would ask for; nothing is applied."""
    for weld, allowance in proposals(source.fixture.problem.laid.weldment).items():
        across, along = allowance.across, allowance.along
        if across is None or along is None:
            yield Finding("shrinkage.proposal", weld, None, None, "mm", True, allowance.note)
            continue
        also = f"along it {along.value_mm:.2f} mm; {across.note}; source: {across.source}"
        spread = f"estimate {across.value_mm:.1f}, {across.low_mm:.1f} to {across.high_mm:.1f} mm"
        if allowance.stop_offset_mm is None:
            text = f"outside the estimate's range, nothing proposed ({spread} across it); {also}"
            yield Finding("shrinkage.proposal", weld, None, None, "mm", True, text)
        else:
            text = f"proposed stop offset {allowance.stop_offset_mm:g} mm across the weld ({spread}), not applied"
            text += f": to accept it, draw the parts so much further apart and plan again; {also}"
            yield Finding("shrinkage.proposal", weld, allowance.stop_offset_mm, None, "mm", True, text)
