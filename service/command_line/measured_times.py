"""What `holdwright measured` does: reports in, out and taken back, and the study made of them.

What studies and draws them is imported where it is asked for: a report is written down without it.
"""

from __future__ import annotations

import json as json_text
import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.store import Store
from inventory.store.errors import NotFound
from service.command_line.arguments import day, signed
from service.command_line.printing.console import DONE, note, print_json, print_table, read_input
from service.command_line.sources import the_store
from service.documents.rule_books.known_books import DEFAULT
from service.documents.shop_floor.reports import ARC_SECONDS, COUNT, SECONDS, agreement_document
from service.exchange import measured_csv
from service.files import write_text
from service.records.job import Job
from service.records.jobs import JobRecords
from service.records.measured_times import NumberedReport, WantedReports, find_reports, withdraw_report
from service.shop_floor.both_agreements import agreements
from service.shop_floor.kept_reports import report_document, reports_document
from service.shop_floor.reporting import Timed, add_new, listed, reported
from service.stockroom.stock_source import StoreStock
from service.text import printable
from service.text_table import Column
from solver.time_study.reports import Agreement
from solver.time_study.work import SetupWork

if TYPE_CHECKING:
    from service.shop_floor.proposal import TimeProposal
    from solver.time_study.study import FittedRule, TimeFit


@dataclass(frozen=True, slots=True)
class Told:
    """What a command line says was measured; units as the names have them."""

    setup_minutes: float | None
    cycle_s: float | None
    rank: int
    set_before: bool | None
    arc_s: float
    setups: int
    pieces: int
    on: str | None
    note: str

    def timed(self) -> list[Timed]:
        """Return the measurements; raises InvalidDocument with every fault."""
        on = day(self.on, "on")
        faults: list[Fault] = []
        found = []
        if self.setup_minutes is not None:
            seconds = round(self.setup_minutes * 60, 3)
            faults += [*SECONDS.faults("/setup-minutes", seconds), *COUNT.faults("/setups", self.setups)]
            found.append(Timed("setup", seconds, self.setups, self.set_before, 0.0, on, self.note))
        if self.cycle_s is not None:
            faults += [*SECONDS.faults("/cycle-s", self.cycle_s), *COUNT.faults("/pieces", self.pieces)]
            faults += ARC_SECONDS.faults("/arc-s", self.arc_s)
            found.append(Timed("cycle", self.cycle_s, self.pieces, None, self.arc_s, on, self.note))
        if not found:
            faults.append(Fault("", "nothing was measured", "--setup-minutes, --cycle-s, or both"))
        refuse(faults)
        return found


def add_measured(plan: str, told: Told, who: str | None, db: str | None, json: bool) -> int:
    """Write down how long a setup or a cycle took."""
    signature, timed = signed(who, told.note), told.timed()
    with the_store(db) as store:
        job = _plan(store, plan)
        new = reported(job, told.rank, timed, StoreStock(store).snapshot().items, date.today())
        kept = store.write(lambda connection: add_new(connection, new, signature))
    if json:
        print_json(reports_document(kept))
        return DONE
    for each in kept:
        one = each.report
        print(printable(f"report {each.number}: {one.what} of {one.name or one.plan}, {_beside(each)}"))
    return DONE


def list_measured(plan: str | None, most: int, db: str | None, json: bool) -> int:
    """List measured times beside predicted ones."""
    with the_store(db) as store:
        JobRecords(store, "", 1, 1).create()
        found = store.read(lambda connection: find_reports(connection, WantedReports(plan), limit=most))
        both = agreements(store.read(lambda connection: find_reports(connection, WantedReports(plan, standing=True))))
    if json:
        agree = {"setup": agreement_document(both.setup), "cycle": agreement_document(both.cycle)}
        print_json({**reports_document(found), **agree})
        return DONE
    columns: list[Column | str] = ["report", "plan", Column("rank", right=True), Column("weldment", wraps=True), "what", "day"]
    columns += [Column(heading, right=True) for heading in ("measured s", "predicted s", "ratio")] + [Column("note", wraps=True)]
    print_table(columns, [_row(each) for each in found], "nothing was measured yet")
    for what, agreement in (("setups", both.setup), ("cycles", both.cycle)):
        if agreement is not None:
            print(f"{what}: {_agreement(agreement)}")
    return DONE


def import_measured(file: Path, dry_run: bool, who: str | None, db: str | None, json: bool) -> int:
    """Take a list of measured times in."""
    signature = signed(who, "")
    rows = measured_csv.read(read_input(file))
    with the_store(db) as store:
        records = JobRecords(store, "", 1, 1).create()
        new = listed(records, rows, StoreStock(store).snapshot().items, date.today())
        kept: list[NumberedReport] = []
        if not dry_run:
            reports, lines = [one.report for one in new], [one.row for one in new]
            kept = store.write(lambda connection: add_new(connection, reports, signature, lines))
    if json:
        print_json({"rows": len(rows), "written": not dry_run, **reports_document(kept)})
        return DONE
    setups = sum(one.report.what == "setup" for one in new)
    said = f"{len(rows)} rows read: {setups} setups, {len(new) - setups} cycles"
    print(said + ("; nothing was written" if dry_run else " written"))
    return DONE


def withdraw_measured(number: int, why: str, who: str | None, db: str | None, json: bool) -> int:
    """Take a wrong report back."""
    signature = signed(who, why)
    with the_store(db) as store:
        JobRecords(store, "", 1, 1).create()
        gone = store.write(lambda connection: withdraw_report(connection, number, signature))
    assert gone.withdrawn is not None
    if json:
        print_json(report_document(gone))
    else:
        print(printable(f"report {number} counts no more: {gone.withdrawn.why} ({gone.withdrawn.by})"))
    return DONE


def fit_measured(out: Path | None, chart: Path | None, book: str | None, db: str | None, json: bool) -> int:
    """Fit the time rules to all measured times; exit code 0 whether or not there is anything to propose."""
    from service.documents.shop_floor.proposal import proposal_document
    from service.drawings.times.agreement_chart import agreement_chart
    from service.drawings.times.charted import charted_times
    from service.shop_floor.proposal import proposal

    with the_store(db) as store:
        JobRecords(store, "", 1, 1).create()
        found = proposal(store, book)
        drawn = None if chart is None else agreement_chart(charted_times(store))
    document = proposal_document(found.rules, found.set, found.fits, found.why)
    if out is not None:
        _write("out", out, json_text.dumps(document, indent=1, ensure_ascii=False) + "\n")
    if chart is not None and drawn is not None:
        _write("chart", chart, drawn)
    if json:
        print_json(document)
        return DONE
    _print_fits(found)
    for file in filter(None, (out, chart)):
        note(f"written to {file}")
    return DONE


def _plan(store: Store, id: str) -> Job:
    job = JobRecords(store, "", 1, 1).create().get(id)
    if job is None or job.kind != "plan":
        raise NotFound("plan", repr(id)[:180])
    return job


def _write(option: str, out: Path, text: str) -> None:
    try:
        write_text(out, text)
    except OSError as error:
        raise InvalidDocument(
            [Fault(f"/{option}", f"{out} cannot be written: {error.strerror}", "a file in a folder that can be")]
        ) from None


def _row(each: NumberedReport) -> list[object]:
    one = each.report
    what = f"{one.what}, set before" if isinstance(one.work, SetupWork) and one.work.repeated else one.what
    ratio = "withdrawn" if each.withdrawn else f"{one.counted_s / one.predicted_s:.2f}" if one.predicted_s else ""
    words = one.note if each.withdrawn is None else each.withdrawn.why
    times = (f"{one.counted_s:g}", one.predicted_s, ratio)
    return [each.number, one.plan, one.rank, one.name, what, one.measured_on.isoformat(), *times, words]


def _beside(each: NumberedReport) -> str:
    one = each.report
    ratio = f", {one.counted_s / one.predicted_s:.2f} times that" if one.predicted_s else ""
    return f"{one.counted_s:g} s measured, {one.predicted_s} s predicted{ratio}"


def _agreement(found: Agreement) -> str:
    scatter = f"+-{100 * found.scatter:.0f} %" if found.count > 1 else "one report"
    return f"measured / predicted {found.ratio:.2f} ({scatter}) over {found.count}; half are within {found.miss_s:.0f} s"


def _print_fits(found: TimeProposal) -> None:
    fitted = [rule for fit in found.fits for rule in fit.fitted]
    columns: list[Column | str] = [
        "rule",
        *(Column(heading, right=True) for heading in ("now", "proposed", "95 % from", "to", "settled")),
    ]
    print_table(columns, [_fitted(rule) for rule in fitted], "no rule is fitted")
    for fit in found.fits:
        _print_fit(fit)
    if found.set:
        changes = " ".join(f"{name}={value:g}" for name, value in found.set.items())
        kept = found.rules.base != DEFAULT
        print(f"Nothing is changed yet. Whoever keeps the rule book may make {'a version' if kept else 'a book'} of it:")
        named = found.rules.base if kept else "shop"
        print(f"  holdwright rules set {shlex.quote(named)} {changes} --why {shlex.quote(found.why)}")


def _fitted(rule: FittedRule) -> Sequence[object]:
    mark = " (at its limit)" if rule.at_limit else ""
    figures = (f"{rule.present:g}", f"{rule.value:g}{mark}", f"{rule.low:.3g}", f"{rule.high:.3g}")
    return [rule.rule, *figures, f"{100 * rule.learnt:.0f} %"]


def _print_fit(fit: TimeFit) -> None:
    for kept in fit.kept:
        print(f"{kept.rule} keeps {kept.value:g}: {kept.text}")
    if fit.before is not None and fit.after is not None and fit.left_out is not None:
        ours = ", ".join(f"{100 * each.miss_share:.0f} %" for each in (fit.before, fit.after, fit.left_out))
        print(f"{fit.what}s missed by {ours}: by the present rules, by the proposed ones, and of plans they were not fitted to")
    if fit.fitted and not fit.worthwhile:
        print(f"{fit.what}s: nothing is proposed, the present rules are as good")
    for one in fit.outliers:
        times = f"{one.seconds:g} s measured, {one.predicted_s:.0f} s expected"
        print(f"report {one.number} counts {100 * one.weight:.0f} %: {times}")
