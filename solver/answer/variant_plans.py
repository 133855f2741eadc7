"""The variants of a choice written down: each with its settings, its ways and its findings, as a plan of its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from inventory.shapes import as_matrix
from solver.answer.chosen_fixture import ChosenFixture
from solver.answer.findings.all import findings
from solver.answer.findings.source import FindingSource
from solver.answer.hands_needed import with_hands, with_mass
from solver.answer.operating_sequence import load_steps, unload, weld_samples
from solver.answer.placements import part_contacts, placed_parts, placements
from solver.checks.rules.variants import about
from solver.cost import RunTimes, exact
from solver.hardware.candidates import Candidate
from solver.model.holding import Holding
from solver.model.variants.same_pieces import PieceName, piece_name, set_to
from solver.plans import Alternative, Finding, Station, VariantPlan
from solver.search.lattice_position import Found
from solver.variants import alone


@dataclass(frozen=True)
class VariantFixture(ChosenFixture):
    """The choice for a variant: its pieces have the ids and the order they have in the set-up it shares."""

    of: ChosenFixture

    @cached_property
    def ids(self) -> Mapping[int, tuple[str, ...]]:
        """Placement ids of each chosen candidate, as in the set-up."""
        shared = {piece_name(self.of.problem.candidates[index]): ids for index, ids in self.of.ids.items()}
        return {index: shared[piece_name(self.problem.candidates[index])] for index in self.choice.candidates}

    @cached_property
    def ordered(self) -> tuple[int, ...]:
        """Chosen candidates in the order in which the set-up has them."""
        place = {piece_name(self.of.problem.candidates[index]): k for k, index in enumerate(self.of.ordered)}
        return tuple(sorted(self.choice.candidates, key=lambda index: place[piece_name(self.problem.candidates[index])]))

    @property
    def chosen(self) -> dict[PieceName, Candidate]:
        """The chosen candidates by what stands where."""
        return chosen_of(self)


def chosen_of(fixture: ChosenFixture) -> dict[PieceName, Candidate]:
    """Return a fixture's chosen candidates by what stands where."""
    candidates = [fixture.problem.candidates[index] for index in fixture.choice.candidates]
    return {piece_name(candidate): candidate for candidate in candidates}


@dataclass(frozen=True)
class VariantRun:
    """One variant of a choice: what was written of it, and the times its pieces add."""

    fixture: VariantFixture
    holding: Holding
    written: VariantPlan
    times: RunTimes

    def planned(self, times: tuple[int, int]) -> VariantPlan:
        """Return the variant with its times, in whole seconds: to set the hardware for it, and of its cycle."""
        return replace(self.written, reset_s=times[0], cycle_s=times[1])

    def owns(self, finding: Finding) -> bool:
        """Return whether the checker's finding speaks of this variant."""
        return finding.subject.startswith(about(self.written.name))

    def with_findings(
        self, alternative: Alternative, variant: VariantPlan, checked: Sequence[Finding], *, thorough: bool
    ) -> VariantPlan:
        """Return the variant with its findings."""
        start = len(about(variant.name))
        own = [replace(finding, subject=finding.subject[start:]) for finding in checked if self.owns(finding)]
        source = FindingSource(self.fixture, self.holding, alone(alternative, variant), own, (), thorough=thorough)
        return replace(variant, findings=findings(source))


def runs_of(found: Found, fixture: ChosenFixture) -> list[VariantRun] | None:
    """Return the variants of a choice that are other sizes, in order; None if no way stays open for one of them."""
    runs: list[VariantRun] = []
    before = chosen_of(fixture)
    beside = zip(
        found.model.problem.request.sizes, found.model.variants, found.choice.variants, found.model.holdings_beside,
        found.position.orientation.variants, strict=True,
    )  # fmt: skip
    for asked, standing, choice, holding, orientation in beside:
        own = VariantFixture(standing.problem, choice, fixture.seat, fixture)
        steps, leaving = load_steps(own), unload(own)
        if steps is None or leaving is None:
            return None
        out, pulled = leaving
        steps = with_hands(own, holding.forces.chosen(choice.candidates), steps)
        placed = placements(own, out.pull)
        lie = found.position.orientation.lie
        written = VariantPlan(
            name=asked.name,
            quantity=asked.quantity,
            settings={each.id: each.setting_mm for each in placed if each.setting_mm is not None},
            reset_s=0,
            cycle_s=0,
            station=Station(None, lie.down, fixture.seat.turn, as_matrix(own.weldment_to_table), with_mass(own, out)),
            parts=placed_parts(own),
            placements=placed,
            part_contacts=part_contacts(own),
            welds=weld_samples(own, orientation.torch),
            load=steps,
        )
        clamps = [each.stack.top.clamp for each in own.chosen.values() if each.stack.top.clamp is not None]
        clamping = sum((exact(clamp.close_s) + exact(clamp.open_s) for clamp in clamps), Fraction(0))
        pulling = sum((exact(item.pull_s) for item in pulled), Fraction(0))
        runs.append(VariantRun(own, holding, written, RunTimes(asked.quantity, _reset_s(before, own.chosen), clamping, pulling)))
        before = own.chosen
    return runs


def _reset_s(before: Mapping[PieceName, Candidate], after: Mapping[PieceName, Candidate]) -> Fraction:
    """Return the setting time of all pieces whose setting changes from one weldment to the next, s."""
    return sum((exact(each.stack.top.set_s) for name, each in after.items() if set_to(each) != set_to(before[name])), Fraction(0))
