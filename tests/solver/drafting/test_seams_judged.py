"""Whatever seam is proposed, the reader takes as a weld and a torch finds its wedge open; the demo shop's own welds are among them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from random import Random

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service import demo
from service.documents.request import read_request
from solver.drafting import Seam, seams, weld_on
from solver.geometry.joints import samples_of
from solver.laying.fit import fit_faults
from solver.rule_book.book import RuleBook
from solver.weldment import Part, Weldment
from tests.solver.drafting.drawn_at_random import drawn

JOBS = sorted((Path(demo.__file__).parent / "jobs").glob("*.json"))
LONG = range(3000)
"""Seeds of the long run."""
A_CHUNK = 500


def assert_taken(parts: Sequence[Part], found: Sequence[Seam]) -> None:
    """The welds that seams propose lie on their parts, are open all along, on the side the seam says, and make a weldment."""
    welds = [seam.weld(f"w{number}") for number, seam in enumerate(found)]
    assert [str(fault) for fault in fit_faults(parts, welds, 0.1) if fault.pointer.startswith("/welds")] == []
    solids = {part.id: part.drawn for part in parts}
    for number, (seam, weld) in enumerate(zip(found, welds, strict=True)):
        one, two = (solids[id] for id in weld.parts)
        samples, shut = samples_of(number, weld, ([one], [two]), RuleBook({}))
        assert not shut, seam
        if len(seam.path) == 2:
            assert all(float(np.dot(sample.wedge.bisector, seam.open_side)) > 0.7 for sample in samples), seam
        assert round(seam.length, 4) >= 5
        assert (seam.leg is None) != (seam.throat is None)
    Weldment(tuple(parts), tuple(welds))


def judge(draw: Random) -> int:
    """Draw a weldment whose parts do not run into each other, judge its seams, and return how many there are."""
    parts = drawn(draw, draw.choice((2, 2, 3)))
    if any(True for _ in fit_faults(parts, [], 0.1)):
        return 0
    found = seams(parts)
    assert_taken(parts, found)
    assert len({seam.place for seam in found}) == len(found)
    return len(found)


@given(st.randoms(use_true_random=False))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_every_seam_of_a_weldment_drawn_at_random_is_a_weld_that_can_be_made(draw: Random) -> None:
    judge(draw)


@pytest.mark.slow
@pytest.mark.parametrize("first", LONG[::A_CHUNK])
def test_every_seam_of_many_weldments_is_a_weld_that_can_be_made(first: int) -> None:
    assert sum(judge(Random(seed)) for seed in range(first, first + A_CHUNK)) > A_CHUNK


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_every_weld_of_the_demo_shop_lies_on_a_seam_of_its_kind(path: Path) -> None:
    """An outside check: those welds were drawn by people. None is left out."""
    weldment = read_request(path.read_bytes())[0].weldment
    found = seams(weldment.parts)
    assert_taken(weldment.parts, found)
    assert {weld.id: {seam.kind for seam in found if weld_on(seam, [weld])} for weld in weldment.welds} == {
        weld.id: {weld.kind} for weld in weldment.welds
    }
