"""Reports as they are kept, written as documents."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from service.documents.shop_floor.reports import TimeReportDocument, WithdrawnDocument
from service.records.measured_times import NumberedReport
from solver.time_study.work import SetupWork


def report_document(kept: NumberedReport) -> dict[str, Any]:
    """Return a report as plain JSON values."""
    one, withdrawn = kept.report, kept.withdrawn
    names = ("plan", "rank", "name", "what", "seconds", "arc_s", "count", "predicted_s", "measured_on", "note")
    return TimeReportDocument(
        **{name: getattr(one, name) for name in names},
        number=kept.number,
        set_before=one.work.repeated if isinstance(one.work, SetupWork) else None,
        stations=one.work.stations,
        ratio=round(one.counted_s / one.predicted_s, 4) if one.predicted_s else None,
        reported_at=kept.reported_at,
        by=kept.by,
        withdrawn=None if withdrawn is None else WithdrawnDocument(at=withdrawn.at, by=withdrawn.by, why=withdrawn.why),
    ).plain()


def reports_document(kept: Sequence[NumberedReport]) -> dict[str, Any]:
    """Return reports as plain JSON values."""
    return {"reports": [report_document(each) for each in kept]}
