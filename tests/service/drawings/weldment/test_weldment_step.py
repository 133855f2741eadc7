"""Parts of a weldment in STEP: bodies with true arcs, of the volumes that sections have by their formulas, where the parts are."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from inventory.shapes import PlaneCut, Point2
from service.drawings.weldment.weldment_step import weldment_step
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests.service.drawings.models.reading import cylinder_radii, products, solids, volume

pytest.importorskip("OCP", reason="the extra `exchange` is not installed")

OUTLINE: tuple[Point2, ...] = ((0, 0), (90, 0), (90, 40), (60, 70), (0, 70))
WINDOW: tuple[Point2, ...] = ((10, 10), (10, 30), (30, 30), (30, 10))
POSES = (Pose((0, 0, 25), (1, 0, 0), (0, 0, 1)), Pose((-40, 1210.5, 3), (1, 2, 3), (0, 0, 1)))


def rim(radius: float) -> float:
    """The area that a rounded rectangle lacks of a sharp one."""
    return (4 - math.pi) * radius**2


def tube_area(wide: float, high: float, wall: float, outside: float) -> float:
    inside = max(0.0, outside - wall)
    return wide * high - rim(outside) - (wide - 2 * wall) * (high - 2 * wall) + rim(inside)


SECTIONS = {
    "square tube": (Section("square_tube", width=50, wall=3), tube_area(50, 50, 3, 6), [3] * 4 + [6] * 4),
    "rect tube": (Section("rect_tube", width=80, height=40, wall=8), tube_area(80, 40, 8, 20), [12] * 4 + [20] * 4),
    "sharp": (Section("square_tube", width=50, wall=3, corner_radius=0), tube_area(50, 50, 3, 0), []),
    "sharp inside": (Section("square_tube", width=50, wall=3, corner_radius=2), tube_area(50, 50, 3, 2), [2] * 4),
    "round tube": (Section("round_tube", diameter=48.3, wall=3.2), math.pi * (48.3 - 3.2) * 3.2, [20.95, 24.15]),
    "round bar": (Section("round_bar", diameter=20), math.pi * 100, [10]),
    "angle": (Section("angle", leg_a=60, leg_b=40, thickness=5), (60 + 40 - 5) * 5, []),
    "channel": (Section("channel", height=100, flange=50, web=6, flange_thickness=8), 2 * 50 * 8 + 84 * 6, []),
    "flat bar": (Section("flat_bar", width=50, thickness=10), 500, []),
    "plate": (Section("plate", plate_outline=OUTLINE, plate_cutouts=(WINDOW,)), 90 * 70 - 30 * 30 / 2 - 400, []),
}
"""Sections with their areas, mm2, by hand, and the radii of their rounded sides."""


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> dict[str, object]:
    """Every section in every pose, mitred at its end and not, written and read back."""
    mitre = (PlaneCut((0, 0, 100), (0, 1, 1)),)
    parts = [
        Part(f"{name} {number}{' mitred' if cuts else ''}", section, 400, pose, cuts=cuts)
        for name, (section, _, _) in SECTIONS.items()
        for number, pose in enumerate(POSES)
        for cuts in ((), mitre)
    ]
    name, found = products(weldment_step(Weldment(tuple(parts), name="all")), tmp_path_factory.mktemp("step"))
    assert name == "all"
    assert [product for product, _, _ in found] == [part.id for part in parts]
    return {product: shape for product, shape, _ in found}


@pytest.mark.parametrize("number", range(len(POSES)))
@pytest.mark.parametrize("name", SECTIONS)
def test_a_part_has_its_sections_volume_and_radii(read: dict[str, object], name: str, number: int) -> None:
    _, area, radii = SECTIONS[name]
    (solid,) = solids(read[f"{name} {number}"])
    assert volume(solid) == pytest.approx(area * 400, rel=1e-9)
    assert cylinder_radii(solid) == pytest.approx(radii, abs=1e-9)


@pytest.mark.parametrize("number", range(len(POSES)))
@pytest.mark.parametrize("name", SECTIONS)
def test_a_mitred_part_ends_where_its_cut_is(read: dict[str, object], name: str, number: int) -> None:
    """A slanting cut takes off the area times where it meets the section's centroid."""
    section, area, radii = SECTIONS[name]
    (solid,) = solids(read[f"{name} {number} mitred"])
    assert volume(solid) == pytest.approx(area * (100 - section.properties.centroid[1]), rel=1e-6)
    assert cylinder_radii(solid) == pytest.approx(radii, abs=1e-9)


def test_the_bytes_are_the_same_and_say_what_it_is(tmp_path: Path) -> None:
    one = Weldment((Part("it's ä", SECTIONS["rect tube"][0], 400, POSES[1]),))
    content = weldment_step(one)
    assert content == weldment_step(one)
    assert content.isascii() and b"'weldment'" in content
    name, ((part, _, _),) = products(content, tmp_path)
    assert (name, part) == ("weldment", "it's ä")
