"""Standard sizes: every one is a section that can be, and some masses are those of public tables."""

from __future__ import annotations

from typing import Any

import pytest

from solver.sections import Section
from solver.sections.profiles import PROFILES
from solver.standards.section_sizes import UNCHECKED, StandardSize, size_table

MM_PER = {"mm": 1.0, "inch": 25.4}
TABLES = [(shape, unit) for shape in PROFILES for unit in MM_PER if PROFILES[shape].sizes]


def section(shape: str, size: StandardSize, mm_per: float = 1.0) -> Section:
    given: dict[str, Any] = {name: value * mm_per for name, value in size.sizes.items()}
    return Section(shape, **given)


@pytest.mark.parametrize(("shape", "unit"), TABLES)
def test_every_size_is_a_section_once_under_its_own_name(shape: str, unit: str) -> None:
    table = size_table(shape, unit)
    assert table is not None and table.source.endswith(UNCHECKED)
    for size in table.sizes:
        section(shape, size, MM_PER[unit])
    assert len({size.name for size in table.sizes}) == len(table.sizes) > table.usual
    assert len({tuple(size.sizes.values()) for size in table.sizes}) == len(table.sizes)


def test_plates_are_sized_by_hand() -> None:
    assert size_table("plate", "mm") is None and size_table("square_tube", "cubit") is None


@pytest.mark.parametrize(
    ("shape", "name", "kg_per_m"),
    [
        ("square_tube", "40 x 40 x 3", 3.30), ("square_tube", "60 x 60 x 4", 6.71), ("rect_tube", "60 x 40 x 3", 4.25),
        ("rect_tube", "100 x 50 x 4", 8.59), ("round_tube", "48.3 x 3", 3.35), ("flat_bar", "50 x 8", 3.14),
    ],
)  # fmt: skip
def test_masses_are_those_of_public_tables(shape: str, name: str, kg_per_m: float) -> None:
    """Source: roymech.org tables of cold-formed hollow sections; the flat bar by hand, 50 x 8 x 7.85e-3."""
    table = size_table(shape, "mm")
    assert table is not None
    size = next(size for size in table.sizes if size.name == name)
    assert section(shape, size).properties.area * 7.85e-3 == pytest.approx(kg_per_m, abs=0.006)
