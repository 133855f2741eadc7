"""Sixteen processes ask for the same pieces; exactly what exists is granted, on either database."""

from __future__ import annotations

import pytest

from tests.concurrency.attempts import faults, run


def test_exactly_what_exists_is_granted(database: str) -> None:
    result = run(database, attempts=640, units=20, release_every=5)
    assert result["attempts"] > 640
    assert result["releases"] > 0
    assert faults(result) == []


@pytest.mark.slow
def test_exactly_what_exists_is_granted_at_length(database: str) -> None:
    assert faults(run(database, attempts=50_000)) == []


def test_the_referee_sees_a_piece_promised_twice() -> None:
    fair = {
        "granted": {"a": 3},
        "held": {"a": 3},
        "units": 3,
        "errors": [],
        "grants": 3,
        "releases": 0,
        "live": 3,
        "lowest_count": 3,
    }
    assert faults(fair) == []
    for unfair in ({"granted": {"a": 4}}, {"held": {"a": 2}}, {"errors": ["locked"]}, {"live": 2}, {"lowest_count": -1}):
        assert len(faults(fair | unfair)) == 1
