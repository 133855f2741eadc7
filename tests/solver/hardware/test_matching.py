"""A pad that overlaps a face by less than the least patch is high is no match; by as much it is one."""

from __future__ import annotations

import numpy as np
import pytest

from solver.hardware.matching import LEAST_PATCH, Shelf, matches
from solver.laying.lay_out import lay_out
from tests import builders as b


def met(part_at: float, height: float, share: float = 0.0) -> set[str]:
    """Return the sides of a plate 8 thick, `part_at` above the table, that a stop so high may meet, of whose pad a share must bear."""
    foot = b.tube("foot", 30, 3, 100, (0, 0, 15))
    request = b.request(b.weldment(foot, b.plate("tab", (60, 40), 8, (200, 0, part_at))), rules={"locate.pad_share": share})
    laid = lay_out(request.weldment, request.rules, np.eye(3), 0.0, ())
    _, found = matches(Shelf([b.stop(height=height)], 40.0, 0), laid)
    return {match.face.label for match in found if match.face.part == 1}


@pytest.mark.parametrize(
    ("overlap", "meets"), [(LEAST_PATCH - 0.5, False), (LEAST_PATCH, True), (LEAST_PATCH + 1, True), (-1, False)]
)
def test_a_low_pad_must_overlap_a_face_by_the_least_patch(overlap: float, meets: bool) -> None:
    assert bool(met(40.0, 40.0 + overlap)) == meets


@pytest.mark.parametrize(("overlap", "meets"), [(3.5, False), (4.0, True), (8.0, True)])
def test_a_low_pad_must_overlap_a_thin_face_by_half_of_it(overlap: float, meets: bool) -> None:
    assert bool(met(40.0, 40.0 + overlap, share=0.5)) == meets
