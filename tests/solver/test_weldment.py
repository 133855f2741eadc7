"""Weldments and requests made in Python refuse the same as documents, and keep directions square and of length one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from inventory.errors import InvalidDocument
from solver.request import Request, Without
from solver.weldment import OpenDimension, Part, Pose, Tolerance, Weld, Weldment
from tests.builders import fillet, tab_on_tube, tube, weldment


def pointers(make: Callable[[], Any]) -> list[str]:
    with pytest.raises(InvalidDocument) as refusal:
        make()
    return [fault.pointer for fault in refusal.value.faults]


def test_up_is_made_square_to_along() -> None:
    pose = Pose((0, 0, 0), (2, 0, 0), (5, 0, 0.1))
    assert pose.along == (1, 0, 0)
    assert pose.up == pytest.approx((0, 0, 1))
    assert pose.frame()[:3, :3] @ pose.frame()[:3, :3].T == pytest.approx(np.eye(3))


def test_level_and_upright_directions_come_out_exact() -> None:
    assert Pose((0, 0, 0), (0, 0, -7), (0, 3, 0)).along == (0, 0, -1)
    assert Pose((0, 0, 0), (1e300, 0, 0), (0, 1e-300, 0)).up == (0, 1, 0)


def test_a_pose_needs_two_directions_at_an_angle() -> None:
    assert pointers(lambda: Pose((0, 0, 0), (1, 0, 0), (-3, 0, 0))) == ["/up"]
    assert pointers(lambda: Pose((0, 0, 0), (0, 0, 0), (0, float("nan"), 0))) == ["/along", "/up"]
    assert pointers(lambda: Pose((0, 0, 20001), (1, 0, 0), (0, 1, 0))) == ["/at/2"]


def test_a_part_may_not_be_called_table() -> None:
    assert pointers(lambda: tube("table")) == ["/id"]
    assert tube("tables").id == "tables"
    assert pointers(lambda: Part("x" * 65, tube().section, 0, tube().pose, "brass")) == ["/id", "/material", "/length"]  # type: ignore[arg-type]


def test_a_weld_has_a_path_and_a_size() -> None:
    good = fillet("w", ("a", "b"), (0, 0, 0), (10, 0, 0))
    assert pointers(lambda: replace(good, path=((0, 0, 0),))) == ["/path"]
    assert pointers(lambda: replace(good, path=((0, 0, 0),) * 5)) == ["/path"]
    assert pointers(lambda: replace(good, path=((0, 0, 0), (0, 0, 0), (5, 0, 0)))) == ["/path/1"]
    assert pointers(lambda: replace(good, leg=None)) == ["/leg"]
    assert pointers(lambda: replace(good, throat=3)) == ["/throat"]
    assert pointers(lambda: replace(good, kind="butt")) == ["/leg"]
    assert pointers(lambda: replace(good, parts=("a", "a"))) == ["/parts"]
    assert replace(good, leg=None, throat=3).throat == 3
    assert replace(good, kind="butt", leg=None).leg is None
    assert replace(good, side=(0, 0, 9)).side == (0, 0, 1)


def test_a_weldment_names_only_parts_it_has() -> None:
    good = tab_on_tube()
    lid = Tolerance("lid", (0, 0, 0), (1, 0, 0), 1, "tube")
    unknown = OpenDimension("lid", (1, 0, 0), 0, 5)
    assert pointers(lambda: replace(good, parts=())) == ["/parts"]
    assert pointers(lambda: replace(good, parts=(*good.parts, tube()))) == ["/parts/2/id"]
    assert pointers(lambda: replace(good, parts=good.parts[:1])) == ["/welds/0/parts/1", "/welds/1/parts/1"]
    assert pointers(lambda: replace(good, tolerances=(lid,))) == ["/tolerances/0/part"]
    assert pointers(lambda: replace(good, open_dimensions=(unknown,))) == ["/open_dimensions/0/part"]


def test_a_weldment_is_limited() -> None:
    many = tuple(tube(f"t{k}", at=(0, 0, 50.0 * k)) for k in range(201))
    assert pointers(lambda: Weldment(many)) == ["/parts"]
    beads = tuple(Weld(f"w{k}", ("t0", "t1"), ((0, 0, 25), (5, 0, 25)), "butt") for k in range(501))
    assert pointers(lambda: Weldment(many[:200], beads)) == ["/welds"]
    assert len(Weldment(many[:200], beads[:500]).welds) == 500


def test_a_request_is_limited() -> None:
    good = Request(weldment(tube()), 10, ("T1",))
    assert pointers(lambda: replace(good, quantity=0, tables=())) == ["/quantity", "/tables"]
    assert pointers(lambda: replace(good, needed=(date(2027, 3, 2), date(2027, 3, 1)))) == ["/needed/to"]
    assert pointers(lambda: replace(good, down=("-z", "-z"), turn=(0.0, 0.0))) == ["/lie/down/1", "/lie/turn/1"]
    assert pointers(lambda: replace(good, stations=0, seed=-1, alternatives=0)) == ["/stations", "/alternatives", "/seed"]
    assert pointers(lambda: Without({"stop": -1})) == ["/items/stop"]
    assert replace(good, stations="best", needed=(date(2027, 3, 1), date(2027, 3, 3))).days == 3
