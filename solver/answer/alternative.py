"""An alternative: a choice written down in full, priced, checked by the independent checker, with its findings."""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from inventory.items import Item
from inventory.shapes import as_matrix
from inventory.stock import StockSnapshot
from solver.answer.changes.listing import change_list
from solver.answer.chosen_fixture import ChosenFixture, fixtures_of
from solver.answer.comparison import ranked
from solver.answer.findings.all import findings
from solver.answer.findings.source import FindingSource
from solver.answer.hands_needed import with_hands, with_mass
from solver.answer.operating_sequence import load_steps, unload, weld_samples
from solver.answer.placements import part_contacts, placed_parts, placements
from solver.answer.variant_plans import runs_of
from solver.checks import check_alternative
from solver.cost import Priced, free_pieces, price
from solver.model.choice import Refusal
from solver.plans import Alternative, Finding, KitLine, LoadStep, Measures, Station
from solver.position.kept_plan import KeptPlan, moved
from solver.request import Request
from solver.search.lattice_position import Found

log = logging.getLogger(__name__)


def alternative_of(
    found: Found,
    request: Request,
    stock: StockSnapshot,
    *,
    thorough: bool = True,
    refusals: Sequence[Refusal] = (),
) -> Alternative | None:
    """Return a choice written down in full and checked, None if the checker refuses it.

    `refusals` are choices turned away on the way to this one; `thorough` asks for findings that only the best is worth.
    """
    problem = found.model.problem
    fixtures = fixtures_of(problem, found.choice, found.seat)
    stations = [_station(fixture, found) for fixture in fixtures]
    pieces = [
        (level.item, depth > 0)
        for fixture in fixtures
        for index in fixture.ordered
        for depth, level in enumerate(problem.candidates[index].stack.levels)
    ]
    chosen = [problem.candidates[index] for index in fixtures[0].ordered]
    gone = moved(KeptPlan.of(request.keep), chosen, found.seat) if request.keep is not None else 0
    written = [station for station in stations if station is not None]
    if len(written) < len(stations) or not written:
        return None
    runs = runs_of(found, fixtures[0])
    if runs is None:
        return None
    priced = price(request, stock, pieces, pulled=written[0].pulled, moved=gone, runs=[run.times for run in runs])
    alternative = Alternative(
        rank=1,
        title="",
        table=found.position.table.id,
        cost=priced.cost,
        setup_s=priced.setup_s,
        cycle_s=priced.cycle_s,
        stations=tuple(station.station for station in written),
        parts=tuple(part for fixture in fixtures for part in placed_parts(fixture)),
        placements=tuple(
            piece
            for fixture, own in zip(fixtures, written, strict=True)
            for piece in placements(fixture, own.station.unload.pull)
        ),
        part_contacts=tuple(contact for fixture in fixtures for contact in part_contacts(fixture)),
        welds=tuple(weld for fixture in fixtures for weld in weld_samples(fixture, found.position.orientation.torch)),
        load=tuple(step for station in written for step in station.load),
        findings=(),
        kit=_kit(pieces, stock, request, priced),
        differs="",
        variants=tuple(run.planned(times) for run, times in zip(runs, priced.runs, strict=True)),
    )
    if request.keep is not None:
        changes = change_list(request, stock, request.keep, alternative.table, alternative.placements)
        alternative = replace(alternative, changes=changes)
    checked = check_alternative(request, stock, alternative)
    failed = [finding for finding in checked if not finding.ok]
    if failed:
        log.error("a plan failed its check and is not shown: %s", "; ".join(f"{f.rule} {f.subject} {f.text}" for f in failed[:5]))
        return None
    before = [refusal for refusal in refusals if refusal.cents <= found.choice.cents]
    alternative = replace(alternative, measures=_measures(alternative, checked, request, stock))
    own = [finding for finding in dict.fromkeys(checked) if not any(run.owns(finding) for run in runs)]
    source = FindingSource(fixtures[0], found.model.holding, alternative, own, before, thorough=thorough)
    variants = tuple(
        run.with_findings(alternative, variant, checked, thorough=thorough)
        for run, variant in zip(runs, alternative.variants, strict=True)
    )
    return ranked([replace(alternative, findings=findings(source), variants=variants)])[0]


@dataclass(frozen=True)
class WrittenStation:
    """How one station is loaded and left, and the items pulled each cycle."""

    station: Station
    load: tuple[LoadStep, ...]
    pulled: tuple[Item, ...]


def _station(fixture: ChosenFixture, found: Found) -> WrittenStation | None:
    """Return a station written down, None if some part or the weldment has no way."""
    steps, leaving = load_steps(fixture), unload(fixture)
    if steps is None or leaving is None:
        return None
    out, pulled = leaving
    steps = with_hands(fixture, found.model.holding.forces.chosen(found.choice.candidates), steps)
    down, place = found.position.orientation.lie.down, as_matrix(fixture.weldment_to_table)
    return WrittenStation(Station(fixture.station, down, fixture.seat.turn, place, with_mass(fixture, out)), steps, pulled)


def _measures(alternative: Alternative, checked: Sequence[Finding], request: Request, stock: StockSnapshot) -> Measures:
    """Return what an alternative is compared by, as the checker found it."""
    value = {finding.rule: finding.value or 0.0 for finding in checked}
    scarcity = sum(line.count / max(1, free_pieces(request, stock, line.item)) for line in alternative.kit)
    return Measures(
        len(alternative.placements),
        value.get("compare.locating_error", 0.0),
        value.get("compare.stiffness", 0.0),
        round(scarcity, 6),
    )


def _kit(pieces: Sequence[tuple[Item, bool]], stock: StockSnapshot, request: Request, priced: Priced) -> tuple[KitLine, ...]:
    counts = Counter(item.id for item, _ in pieces)
    return tuple(
        KitLine(
            name, count, line.bin if (line := stock.lines.get(name)) else "", priced.bought.get(name, 0), stock.items[name].name
        )
        for name, count in sorted(counts.items())
    )
