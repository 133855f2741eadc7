"""Labels never lie over one another, over what is kept free or off the paper, and stand at what they name if there is room."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, minimize

from service.drawings.paper.labels import GAP, Label, placed_labels, spread
from service.drawings.paper.marks import Box

ROOM = Box(0.0, 0.0, 100.0, 80.0)
PLACES = st.floats(0.0, 100.0)
LABELS = st.lists(
    st.tuples(st.floats(1.0, 20.0), st.floats(1.0, 8.0), PLACES, st.floats(0.0, 80.0)), min_size=1, max_size=25
)  # fmt: skip
BOXES = st.lists(st.tuples(PLACES, st.floats(0.0, 80.0), st.floats(0.5, 10.0), st.floats(0.5, 10.0)), max_size=12)


@given(LABELS, BOXES)
def test_labels_keep_apart_from_each_other_and_from_what_is_kept_free(
    asked: list[tuple[float, float, float, float]], boxes: list[tuple[float, float, float, float]]
) -> None:
    labels = [Label(str(k), wide, high, (x, y)) for k, (wide, high, x, y) in enumerate(asked)]
    free = [Box(x, y, x + wide, y + high) for x, y, wide, high in boxes]
    placed = [place for place in placed_labels(labels, ROOM, free) if place is not None]
    assert all(place.box.within(ROOM) for place in placed)
    assert not any(a.box.meets(b.box, GAP - 1e-9) for a, b in itertools.combinations(placed, 2))
    assert not any(place.box.meets(box, GAP - 1e-9) for place in placed for box in free)


@given(LABELS)
def test_the_same_labels_get_the_same_places(asked: list[tuple[float, float, float, float]]) -> None:
    labels = [Label(str(k), wide, high, (x, y)) for k, (wide, high, x, y) in enumerate(asked)]
    assert placed_labels(labels, ROOM) == placed_labels(labels, ROOM)


def test_a_lone_label_stands_at_its_foot_without_a_leader() -> None:
    (placed,) = placed_labels([Label("p1", 6.0, 4.0, (50.0, 40.0))], ROOM)
    assert placed is not None and placed.leader is None and placed.away == 0.0


def test_a_proposed_place_is_taken_before_any_other() -> None:
    (placed,) = placed_labels([Label("rail", 10.0, 4.0, (50.0, 40.0), ((20.0, 40.0),))], ROOM)
    assert placed is not None and placed.middle == (20.0, 40.0) and placed.leader is None


def test_a_label_that_has_to_go_away_gets_a_leader_to_its_foot() -> None:
    (placed,) = placed_labels([Label("p1", 6.0, 4.0, (50.0, 40.0))], ROOM, [Box(44.0, 34.0, 56.0, 46.0)])
    assert placed is not None and placed.leader is not None and placed.leader[1] == (50.0, 40.0)


def test_where_there_is_no_room_there_is_no_place() -> None:
    assert placed_labels([Label("p1", 6.0, 4.0, (50.0, 40.0))], ROOM, [Box(0.0, 0.0, 100.0, 80.0)]) == [None]
    tight = Box(0.0, 0.0, 7.0, 5.0)
    both = placed_labels(
        [Label("p1", 6.0, 4.0, (3.5, 2.5), ((3.5, 2.5),)), Label("p2", 6.0, 4.0, (3.5, 2.5), ((3.5, 2.5),))], tight
    )
    assert [place is None for place in both] in ([True, False], [False, True])


@given(st.lists(st.floats(0.0, 100.0), min_size=1, max_size=12), st.floats(0.5, 6.0))
def test_places_on_a_line_keep_their_order_and_their_distance(wanted: list[float], gap: float) -> None:
    found = spread(sorted(wanted), gap, 0.0, 100.0)
    assert all(b - a >= gap - 1e-9 for a, b in itertools.pairwise(found))


@pytest.mark.parametrize("wanted", [[10.0, 10.0, 10.0], [1.0, 2.0, 50.0, 51.0], [5.0, 9.0, 9.5, 10.0, 40.0]])
def test_places_on_a_line_are_the_nearest_there_are(wanted: list[float]) -> None:
    """Against a general solver of the same least squares (scipy's SLSQP)."""
    gap = 3.4
    steps = np.eye(len(wanted))[1:] - np.eye(len(wanted))[:-1]
    apart = LinearConstraint(steps, np.full(len(wanted) - 1, gap), np.full(len(wanted) - 1, np.inf))
    start = np.arange(len(wanted)) * 5.0

    def off(places: NDArray[np.float64]) -> float:
        return float(((places - np.array(wanted)) ** 2).sum())

    best = minimize(off, start, method="SLSQP", constraints=apart)
    assert spread(wanted, gap, -100.0, 200.0) == pytest.approx(best.x, abs=1e-3)
