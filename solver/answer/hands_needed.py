"""What the hands need to know of every load step: how heavy the part is, and until when what is in must be held."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from solver.answer.chosen_fixture import ChosenFixture
from solver.plans import LoadStep, Unload
from solver.statics import ContactSystem, LoadingStep, loading_verdicts

UNTIL_TACKED = "until the weldment is tacked"
ALL_THE_WHILE = "as long as it is in the fixture, which does not locate or clamp it"
"""How long an outer body is held: nothing of the fixture locates, clamps or carries it, and it is welded elsewhere."""


def with_hands(fixture: ChosenFixture, forces: ContactSystem, load: Sequence[LoadStep]) -> tuple[LoadStep, ...]:
    """Return load steps with their parts' masses, kg, whether one person lifts them, and until when a hand holds what is in."""
    masses = {held.id: held.mass for held in fixture.problem.laid.all_parts}
    holds = held_by_hand(fixture, forces, load)
    return tuple(
        replace(step, hold_by_hand=hold, mass_kg=round(masses[step.part], 3), heavy=_heavy(fixture, masses[step.part]))
        for step, hold in zip(load, holds, strict=True)
    )


def with_mass(fixture: ChosenFixture, out: Unload) -> Unload:
    """Return the way out with the weldment's mass, kg, and whether one person lifts it."""
    mass = sum(held.mass for held in fixture.problem.laid.all_parts)
    return replace(out, mass_kg=round(mass, 3), heavy=_heavy(fixture, mass))


def held_by_hand(fixture: ChosenFixture, forces: ContactSystem, load: Sequence[LoadStep]) -> list[str | None]:
    """Return for every load step until when a hand must hold what is in, None if all of it stays put.

    `forces` are the contacts and clamps that are there.
    """
    owner = {ids[-1]: index for index, ids in fixture.ids.items()}
    number = {held.id: held.index for held in fixture.problem.laid.parts}
    steps = [LoadingStep(number.get(step.part), tuple(owner[id] for id in step.then_close)) for step in load]
    verdicts = loading_verdicts(forces, steps)
    held: list[str | None] = []
    for place, verdict in enumerate(verdicts):
        if verdict.part is None:
            held.append(ALL_THE_WHILE)
            continue
        later = zip(load[place:], verdicts[place:], strict=True)
        shut = next((step.then_close for step, after in later if after.stable_shut and step.then_close), ())
        held.append(_until(shut) if verdict.by_hand else None)
    return held


def _until(shut: Sequence[str]) -> str:
    """Return in words what ends the holding: ``until p5 is shut``."""
    if not shut:
        return UNTIL_TACKED
    return f"until {' and '.join(shut)} {'is' if len(shut) == 1 else 'are'} shut"


def _heavy(fixture: ChosenFixture, mass_kg: float) -> bool:
    return mass_kg > fixture.problem.laid.rules["lift.one_person_kg"]
