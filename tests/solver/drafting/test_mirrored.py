"""A weldment's mirror image: every shape by exact meshes, welds, tolerances and open dimensions where they belong."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from inventory.shapes import PlaneCut, Point3
from solver.drafting.mirrored import mirrored
from solver.laying.lay_out import drawn_samples
from solver.rule_book.book import RuleBook
from solver.sections import Section
from solver.variants import Mirror
from solver.weldment import OpenDimension, Part, Pose, Tolerance, Weld
from tests import builders as b
from tests.outside import meshes

NORMALS: dict[Mirror, Point3] = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0)}
SECTIONS = [
    Section("square_tube", width=50, wall=3),
    Section("rect_tube", width=60, height=40, wall=3),
    Section("round_tube", diameter=48, wall=3),
    Section("angle", leg_a=60, leg_b=40, thickness=6),
    Section("channel", height=80, flange=45, web=6, flange_thickness=8),
    Section("flat_bar", width=50, thickness=10),
    Section("round_bar", diameter=30),
    Section(
        "plate", plate_outline=((0, 0), (90, 0), (90, 30), (40, 60), (0, 60)), plate_cutouts=(((10, 10), (30, 10), (20, 25)),)
    ),
]
POSES = [
    Pose((30, 40, 25), (1, 0, 0), (0, 0, 1)),
    Pose((-10, 5, 60), (0, 0, 1), (0, 1, 0)),
    Pose((7, -3, 11), (0.36, 0.48, 0.8), (0.8, -0.6, 0)),
]


@pytest.mark.parametrize("axis", ["x", "y"])
@pytest.mark.parametrize("section", SECTIONS, ids=lambda section: section.shape)
@pytest.mark.parametrize("pose", POSES)
def test_every_shape_is_its_mirror_image_exactly(section: Section, pose: Pose, axis: Mirror) -> None:
    """Outside check: the mesh library mirrors the mesh of the part as drawn; the two bodies share all their volume."""
    part = Part("one", section, 8 if section.shape == "plate" else 200, pose)
    cut = replace(part, cuts=(PlaneCut((0, 0, part.length - 1), (0.5, 0.3, 1)),)) if section.shape != "plate" else part
    for each in (part, cut):
        image = meshes.solid(mirrored(b.weldment(each), axis).parts[0].drawn)
        wanted = meshes.solid(each.drawn).mirror(list(NORMALS[axis]))
        assert image.volume() == pytest.approx(wanted.volume(), rel=1e-9)
        assert (image - wanted).volume() + (wanted - image).volume() < 2e-4 * wanted.volume() + 1e-3


@pytest.mark.parametrize("axis", ["x", "y"])
def test_twice_mirrored_is_as_drawn(axis: Mirror) -> None:
    drawn = replace(
        b.tab_on_tube(130),
        tolerances=(Tolerance("tab", (130, -15, 50), (1, 0, 0), 0.8, "tube"),),
        open_dimensions=(OpenDimension("tab", (1, 0, 0), -3, 7),),
    )
    once = mirrored(drawn, axis)
    assert once != drawn and mirrored(once, axis) == drawn
    at = once.tolerances[0].point
    assert at == ((-130, -15, 50) if axis == "x" else (130, 15, 50))
    assert once.open_dimensions[0].direction == ((-1, 0, 0) if axis == "x" else (1, 0, 0))
    assert (once.open_dimensions[0].low, once.open_dimensions[0].high) == (-3, 7)


def test_a_bead_with_two_open_sides_stays_on_its_own() -> None:
    """An upright bar on a plate's middle line, welded at its foot: both sides are open, as drawn the bead lies on that by +x."""
    foot = b.plate("foot", (200, 200), 10, (-100, -100, 0))
    fin = b.bar("fin", 60, 6, 100, (0, 0, 40), (0, 1, 0))
    fin = replace(fin, pose=Pose((0, -50, 40), (0, 1, 0), (1, 0, 0)))
    weld = Weld("w1", ("foot", "fin"), ((0, -40, 10), (0, 40, 10)), "fillet", leg=4)
    drawn = b.weldment(foot, fin, welds=(weld,))
    rules = RuleBook()
    first, _ = drawn_samples(drawn, rules)
    image = mirrored(drawn, "x")
    second, _ = drawn_samples(image, rules)
    assert first and len(first) == len(second)
    for one, other in zip(first, second, strict=True):
        assert other.wedge.bisector[0] == pytest.approx(-one.wedge.bisector[0], abs=1e-6)
        assert other.wedge.bisector[2] == pytest.approx(one.wedge.bisector[2], abs=1e-6)
    assert not math.isclose(first[0].wedge.bisector[0], 0.0, abs_tol=0.1)
