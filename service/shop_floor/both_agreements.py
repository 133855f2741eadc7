"""How measured setups and cycles lie beside what their plans predicted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.records.measured_times import NumberedReport
from solver.time_study.reports import Agreement, agreement_of


@dataclass(frozen=True, slots=True)
class BothAgreements:
    """How measured setups and cycles lie beside what their plans predicted; None where none were measured."""

    setup: Agreement | None
    cycle: Agreement | None


def agreements(reports: Sequence[NumberedReport]) -> BothAgreements:
    """Return how reports that stand lie beside what their plans predicted."""
    standing = [each.report for each in reports if each.withdrawn is None]
    return BothAgreements(
        *(agreement_of([(one.counted_s, one.predicted_s) for one in standing if one.what == what]) for what in ("setup", "cycle"))
    )
