"""Unusual but legal weldments: every kind of weld, one part alone, tiny gaps, closed paths, tacks."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from inventory.items import Contact, Item
from inventory.shapes import Point3
from solver.sections import Section
from solver.weldment import Part, Pose, Weld, Weldment
from tests import builders as b
from tests.solver.kinds.shop import full_shelf, planned

SHELF = full_shelf(without=("riser", "riser-60", "swivel"))


def weld(kind: Any, parts: tuple[str, str], *path: Point3, **more: Any) -> Weld:
    """A weld of 4 mm throat, or leg where it is given."""
    return Weld("w", parts, path, kind, **({} if "leg" in more else {"throat": 4}) | more)


def wall(from_y: float, length: float = 150) -> Part:
    """An 8 mm plate standing on an 8 mm one, along x, its near face at `from_y`."""
    outline = ((0.0, 0.0), (length, 0.0), (length, 80.0), (0.0, 80.0))
    return Part("wall", Section("plate", plate_outline=outline), 8, Pose((0, from_y + 8, 8), (0, -1, 0), b.Z))


def butted(gap: float = 0, **more: Any) -> Weldment:
    """Two plates edge to edge, butt welded on top."""
    plates = b.plate("a", (150, 120), 20), b.plate("b", (150, 120), 20, (150 + gap, 0, 0))
    x = 150 + gap / 2
    return b.weldment(*plates, welds=[weld("butt", ("a", "b"), (x, 0, 20), (x, 120, 20), **more)])


def lapped(over: float) -> Weldment:
    """A plate on another, its edge `over` mm in from the other's, lap welded along that edge."""
    plates = b.plate("a", (150, 120), 8), b.plate("b", (100, 100), 8, (over, 0, 8))
    return b.weldment(*plates, welds=[weld("lap", ("a", "b"), (over, 0, 8), (over, 100, 8), leg=5)])


JOBS = {
    "one part, no weld": b.weldment(b.tube(length=300)),
    "butt": butted(),
    "butt over a gap of 0.5 mm": butted(0.5),
    "butt, tacked": butted(in_fixture="tack"),
    "butt, welded elsewhere": butted(in_fixture="none"),
    "lap": lapped(40),
    "flare": b.weldment(
        b.tube("a", 50, 4, 300), b.tube("b", 50, 4, 300, (0, 50, 25)),
        welds=[weld("flare", ("a", "b"), (20, 25, 49), (280, 25, 49))],
    ),
    "corner": b.weldment(
        b.plate("a", (150, 88), 8), wall(80), welds=[weld("corner", ("a", "wall"), (20, 88, 8), (130, 88, 8))]
    ),
    "fillet on the side asked for": b.weldment(
        b.plate("a", (150, 120), 8), wall(80), welds=[weld("fillet", ("a", "wall"), (20, 88, 8), (130, 88, 8), side=(0, 1, 1))]
    ),
    "plates 0.04 mm apart": b.weldment(b.plate("a", (150, 120), 8), b.plate("b", (150, 120), 8, (0, 0, 8.04))),
}  # fmt: skip


LONG = ("butt", "butt, welded elsewhere", "plates 0.04 mm apart")


@pytest.mark.parametrize("name", [pytest.param(name, marks=[pytest.mark.slow] * (name in LONG)) for name in JOBS])
def test_an_unusual_job_is_planned_and_passes_the_checker(name: str) -> None:
    found = planned(JOBS[name], SHELF)
    assert found.status == "optimal"
    samples = {entry.id: entry.samples for entry in found.alternatives[0].welds}
    for joint in JOBS[name].welds:
        assert bool(samples.get(joint.id)) == (joint.in_fixture != "none")


@pytest.mark.slow
def test_tacks_ask_for_less_reach_than_the_whole_weld() -> None:
    whole, tacks = (planned(butted(in_fixture=kind), SHELF).alternatives[0] for kind in ("full", "tack"))
    assert len(tacks.welds[0].samples) < len(whole.welds[0].samples)
    assert tacks.cost.total_cents <= whole.cost.total_cents


def test_a_plate_that_floats_is_carried_by_nothing() -> None:
    floating = b.weldment(b.plate("a", (150, 120), 8), b.plate("b", (150, 120), 8, (0, 0, 8.3)))
    assert planned(floating, b.shelf((b.stop(), 8), (b.down_clamp(), 4))).status == "infeasible"


# --- round a tube -------------------------------------------------------------------------------------------------------


def tube_on_base(*more: Part, in_fixture: Any = "full") -> Weldment:
    """A square tube upright on a base plate, welded all round in one bead whose path ends where it starts."""
    corners = [(40.0, 40.0, 10.0), (100.0, 40.0, 10.0), (100.0, 100.0, 10.0), (40.0, 100.0, 10.0)]
    bead = b.fillet("round", ("base", "post"), *corners, corners[0], in_fixture=in_fixture)
    return b.weldment(b.plate("base", (140, 140), 10), b.tube("post", 60, 4, 230, (70, 70, 10), b.Z), *more, welds=[bead])


def gantry(low: float) -> Item:
    """A stop that meets a post from `low` to 15 mm more above the table, 270 ahead of its peg."""
    solids = (b.box(-14, -14, 14, 14, 0, low + 15), b.box(-18, 14, 18, 270, low, low + 15))
    return b._item("gantry", "stop", solids, (Contact((0, 270, low + 7.5), b.Y, 36, 15),))


def over(low: float) -> Any:
    """Stops for base and post, and clamps that press on the tube's wall."""
    clamps = [(b.down_clamp(f"over-{reach}", reach=reach, low=100, high=280), 2) for reach in (183, 193)]
    return b.shelf((b.stop(height=25, face=30), 4), (gantry(low), 4), *clamps)


@pytest.mark.parametrize(("in_fixture", "samples"), [("full", 28), ("tack", 10)])
def test_a_bead_all_round_a_tube_is_reached_from_every_side(in_fixture: str, samples: int) -> None:
    """Sides 60 mm long, 10 mm apart at most: 7 samples each; tacks of 15 mm every 150 mm at most: at 0, 112.5 and 225 of 240 mm."""
    best = planned(tube_on_base(in_fixture=in_fixture), over(215)).alternatives[0]
    reached = best.welds[0].samples
    assert len(reached) == samples
    level = np.array([torch[:2] for _, torch in reached])
    sides = [(axis, sign) for axis in (0, 1) for sign in (-1, 1) if (sign * level[:, axis] > 0.5).any()]
    assert len(sides) == 4


def test_a_bead_that_a_wall_shuts_in_on_one_side_is_refused_by_name() -> None:
    found = planned(tube_on_base(b.bar("wall", 8, 150, 140, (130, 0, 85), b.Y)), over(215))
    assert found.status == "infeasible" and found.refused is not None
    reason = found.refused.because[0]
    assert (reason.rule, reason.subject) == ("torch.shut_in", "round")
    assert "at 7 of 28 samples" in reason.text


def test_a_bead_that_only_stops_shut_in_on_one_side_is_refused_by_name() -> None:
    """Noses that meet the post 60 to 75 mm up lie where hand and torch would be."""
    found = planned(tube_on_base(), over(60))
    assert found.status == "infeasible" and found.refused is not None
    assert ("torch.work_tolerance", "round") in [(reason.rule, reason.subject) for reason in found.refused.because]
