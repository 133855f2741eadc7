"""The seams of thirty drawn weldments equal the lists that were made of them by hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import pytest

from solver.drafting import seams
from solver.laying.fit import fit_faults
from tests.drawn_weldments.corpus import CORPUS
from tests.drawn_weldments.drawn_weldment import Beads, DrawnWeldment

STRAIGHT = 0.005
"""How far a straight bead's length may be from the list's, mm."""
ROUND = 0.003
"""How far that of one along something round may be from it, as a share."""
One = tuple[tuple[str, str], str, float]
"""One bead: the pair, the kind, the length."""


def one_by_one(listed: Iterable[Beads]) -> list[tuple[One, float]]:
    """Return each bead of a list with how far its length may be off, mm."""
    return [
        ((tuple(sorted((beads.one, beads.two))), beads.kind, beads.length), ROUND * beads.length if beads.round else STRAIGHT)  # type: ignore[misc]
        for beads in listed
        for _ in range(beads.count)
    ]


def differences(listed: Sequence[Beads], found: Sequence[One]) -> list[str]:
    """Return the beads of the list that were not found, and those found that are not in it."""
    left = list(found)
    missing = []
    for (pair, kind, length), slack in one_by_one(listed):
        match = next((bead for bead in left if bead[:2] == (pair, kind) and abs(bead[2] - length) <= slack), None)
        if match is None:
            missing.append(f"not found: {pair} {kind} {length:.3f}")
        else:
            left.remove(match)
    return missing + [f"not listed: {pair} {kind} {length:.3f}" for pair, kind, length in left]


@pytest.mark.parametrize("drawn", CORPUS, ids=lambda drawn: drawn.name)
def test_the_beads_on_offer_are_those_listed_by_hand(drawn: DrawnWeldment) -> None:
    found = [(tuple(sorted(seam.parts)), seam.kind, seam.length) for seam in seams(drawn.parts)]
    assert differences(drawn.beads, found) == []  # type: ignore[arg-type]


@pytest.mark.parametrize("drawn", CORPUS, ids=lambda drawn: drawn.name)
def test_what_is_drawn_is_sound(drawn: DrawnWeldment) -> None:
    assert list(fit_faults(drawn.parts, (), 0.05)) == []


def test_there_are_thirty_and_they_have_every_section_unit_and_schema() -> None:
    assert len({drawn.name for drawn in CORPUS}) == len(CORPUS) == 30
    parts = [part for drawn in CORPUS for part in drawn.parts]
    assert {part.section.shape for part in parts} == {
        "square_tube", "rect_tube", "round_tube", "angle", "channel", "flat_bar", "round_bar", "plate",
    }  # fmt: skip
    assert {drawn.schema for drawn in CORPUS} == {"AP203", "AP214IS", "AP242DIS"}
    assert {drawn.unit for drawn in CORPUS} == {"MM", "CM", "M", "INCH", "FT"}
    assert sum(bool(part.cuts) for part in parts) > 15
