"""Loading: what stays put by itself, and what a hand must hold."""

from __future__ import annotations

import numpy as np
import pytest

from solver.statics import (
    ClampForce,
    Clamps,
    ContactPoint,
    Contacts,
    ContactSystem,
    LoadingStep,
    PartWeights,
    holding_verdict,
    least_deflection,
    loading_verdicts,
    patch_points,
    stable_by_gravity,
)
from tests.solver.statics.shop import UP, block, push, rectangle


def test_a_flat_block_stays_and_a_plate_on_its_edge_does_not() -> None:
    assert stable_by_gravity(block(20, 100, 30, mu=0.15), [0])
    assert not stable_by_gravity(block(20, 8, 90, mu=0.15), [0])


def test_a_round_bar_rolls_unless_two_stops_hold_it() -> None:
    line = [ContactPoint(0, (x, 0, 0), UP) for x in (0, 300)]
    part_weights = PartWeights(np.array([[150.0, 0, 20]]), np.array([30.0]))
    bar = ContactSystem(part_weights, Contacts.of(line), Clamps.of([]), 0.15)
    assert holding_verdict(bar, push()).ok  # in balance, but nothing keeps it there
    assert not stable_by_gravity(bar, [0])
    sides = [ContactPoint(0, (x, y, 20), (0, n, 0)) for x in (50, 250) for y, n in ((-20, 1), (20, -1))]
    assert stable_by_gravity(ContactSystem(part_weights, Contacts.of([*line, *sides]), Clamps.of([]), 0.15), [0])


def lug_on_bar() -> ContactSystem:
    """An upright plate, 8 mm thick, on a bar; a stop behind it and a clamp (owner 7) that presses it to the stop."""
    points = patch_points(0, rectangle((0, 400), (-25, 25), 0), UP)
    points += patch_points(1, rectangle((196, 204), (-20, 20), 50), UP, other=0)
    points += [ContactPoint(1, (196, y, z), (1, 0, 0)) for y in (-15, 15) for z in (60, 90)]
    part_weights = PartWeights(np.array([[200.0, 0, 25], [200, 0, 95]]), np.array([17.0, 3.0]))
    return ContactSystem(
        part_weights, Contacts.of(points), Clamps.of([ClampForce(1, (204, 0, 80), (-1, 0, 0), 300, owner=7)]), 0.15
    )


def test_an_upright_lug_is_held_by_hand_until_its_clamp_is_shut() -> None:
    bar, lug = loading_verdicts(lug_on_bar(), [LoadingStep(0), LoadingStep(1, (7,))])
    assert not bar.by_hand
    assert lug.by_hand and lug.stable_shut


def test_a_part_without_its_carrier_is_not_there_to_rest_on() -> None:
    assert stable_by_gravity(lug_on_bar(), [1], [7])  # pressed to its stop
    assert not stable_by_gravity(lug_on_bar(), [1])


def test_least_deflection_of_a_lone_stop_is_force_over_stiffness() -> None:
    # Frictionless block pushed with 500 N against one stop of 10000 N/mm: hand calculation 0.05 mm.
    stop = ContactPoint(0, (-50, 0, 10), (1, 0, 0), cap_group=0)
    lies = block(100, 100, 50, stop, caps=(2000.0,), mu=0.0)
    found = least_deflection(lies, push(((50, 0, 10), (-500, 0, 0))), np.array([10000.0]))
    assert found.worst_mm == pytest.approx(0.05) and found.largest_n == pytest.approx([500.0])
    assert found.case.kind == "handling"
