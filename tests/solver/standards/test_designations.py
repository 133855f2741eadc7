"""Designations of sections as standards and people write them; what is unknown is refused with what comes near it."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.errors import InvalidDocument
from solver.standards.designations import designated


@pytest.mark.parametrize(
    ("text", "name", "shape", "sizes"),
    [
        ("SHS 50x50x3", "SHS 50x50x3 EN 10219-2", "square_tube", {"width": 50, "wall": 3}),
        ("shs50*3", "SHS 50x50x3 EN 10219-2", "square_tube", {"width": 50, "wall": 3}),
        ("RHS 60 \u00d7 40 \u00d7 4", "RHS 60x40x4 EN 10219-2", "rect_tube", {"width": 60, "height": 40, "wall": 4}),
        ("RHS 40x60x4", "RHS 40x60x4 EN 10219-2", "rect_tube", {"width": 40, "height": 60, "wall": 4}),
        ("CHS 48,3X3,2", "CHS 48.3x3.2 EN 10219-2", "round_tube", {"diameter": 48.3, "wall": 3.2}),
        ("EN 10210-2 - SHS 40x40x4", "SHS 40x40x4 EN 10210-2", "square_tube", {"width": 40, "wall": 4, "corner_radius": 6}),
        ("HFRHS 60x40x4", "RHS 60x40x4 EN 10210-2", "rect_tube", {"width": 60, "height": 40, "wall": 4, "corner_radius": 6}),
        ("CFRHS 100x100x5 EN10219-1:2006 S355J2H", "SHS 100x100x5 EN 10219-2", "square_tube", {"width": 100, "wall": 5}),
        ("EN 10210 CHS 48.3x3.2", "CHS 48.3x3.2 EN 10210-2", "round_tube", {"diameter": 48.3, "wall": 3.2}),
        ("L 80 x 40 x 6, S235JR", "L 80x40x6", "angle", {"leg_a": 80, "leg_b": 40, "thickness": 6}),
        ("L 40x80x6", "L 40x80x6", "angle", {"leg_a": 40, "leg_b": 80, "thickness": 6}),
        ("l50x5", "L 50x50x5", "angle", {"leg_a": 50, "leg_b": 50, "thickness": 5}),
        ("UPE 80", "UPE 80", "channel", {"height": 80, "flange": 50, "web": 4, "flange_thickness": 7}),
        ("DIN EN 10365 - UPN 100", "UPN 100", "channel", {"height": 100, "flange": 50, "web": 6, "flange_thickness": 8.5}),
        ("UNP 100", "UPN 100", "channel", {"height": 100, "flange": 50, "web": 6, "flange_thickness": 8.5}),
        ("PFC 150 x 75 x 18", "PFC 150x75x18", "channel", {"height": 150, "flange": 75, "web": 5.5, "flange_thickness": 10}),
        ("PFC 150x90", "PFC 150x90x24", "channel", {"height": 150, "flange": 90, "web": 6.5, "flange_thickness": 12}),
        ("FL 50x8", "FL 50x8", "flat_bar", {"width": 50, "thickness": 8}),
        ("SQ 20", "SQ 20", "flat_bar", {"width": 20, "thickness": 20}),
        ("\u00d820", "RD 20", "round_bar", {"diameter": 20}),
        ("EN 10060 RD 20", "RD 20", "round_bar", {"diameter": 20}),
    ],
)  # fmt: skip
def test_designations(text: str, name: str, shape: str, sizes: dict[str, float]) -> None:
    found = designated(text)
    assert (found.name, found.section.shape, found.section.sizes) == (name, shape, sizes)
    assert (found.along, found.thickness, found.not_in_series) == (None, None, "")


def test_plates_name_their_length_or_take_it() -> None:
    whole, given = designated("PL 8x100x200"), designated("plate 8x100", 200.0)
    assert whole == given and (whole.name, whole.along, whole.thickness) == ("PL 8x100x200", 200, 8)
    assert whole.section.outline == ((0, 0), (100, 0), (100, 200), (0, 200))


@pytest.mark.parametrize(
    ("text", "lacks"),
    [
        ("SHS 55x55x3", "55 is not in the series of EN 10219-2"), ("SHS 50x50x3.3", "3.3 thick is not in the series of EN 10219-2"),
        ("RHS 61x40x3", "61x40 is not in the series of EN 10219-2"), ("CHS 50x2", "50 is not in the series of EN 10219-2"),
        ("EN 10210 SHS 50x50x2", "2 thick is not in the series of EN 10210-2"), ("FL 51x7", "51 and 7 thick is not in the series of EN 10058"),
        ("RD 21", "21 is not in the series of EN 10060"), ("SQ 21", "21 is not in the series of EN 10059"),
    ],
)  # fmt: skip
def test_free_sizes_of_hollow_sections_and_bars_are_taken_and_told(text: str, lacks: str) -> None:
    assert designated(text).not_in_series == lacks


@pytest.mark.parametrize(
    ("text", "wrong", "accepted"),
    [
        ("UPE 90", "UPE 90 is not in EN 10365", "UPE 80, UPE 100"), ("UPN 1000", "UPN 1000 is not in EN 10365", "UPN 400"),
        ("PFC 150", "more than one size", "PFC 150x75x18, PFC 150x90x24"), ("L 50x50x7", "not in EN 10056-1", "L 50x50x6"),
        ("L 81x40x6", "not in EN 10056-1", "L 80x40x6"), ("IPE 80", "no designation", "UPE 80"), ("", "no designation", "SHS"),
        ("SHS", "no sizes", "SHS"), ("SHS 50x40x3", "differ", "RHS"), ("RHS 60x40", "2 sizes", "RHS 60x40x4"), ("CHS 48.3", "1 sizes", "CHS"),
        ("SHS 50x50x25", "leaves nothing", "less than 25"), ("SHS 50x50x3x2", "4 sizes", "SHS|RHS"), ("SHS axbxc", "no designation|no sizes", "SHS"),
        ("PL 8x100", "no length", "PL 8x100x200"), ("EN 10219 SHS 50x50x3 EN 10210", "cold formed and hot finished", "EN 10210"),
        ("HFL 50x50x5", "stands before hollow sections only", "SHS"), ("x" * 200, "200 characters", "SHS"), ("CHS 999999x5", "no sizes", "CHS"),
    ],
)  # fmt: skip
def test_what_is_unknown_is_refused_with_what_comes_near(text: str, wrong: str, accepted: str) -> None:
    with pytest.raises(InvalidDocument) as caught:
        designated(text)
    (fault,) = caught.value.faults
    assert any(each in fault.wrong for each in wrong.split("|")), fault
    assert any(each in fault.accepted for each in accepted.split("|")), fault


def test_every_size_of_the_tables_is_known_by_its_name() -> None:
    from solver.standards.section_sizes import size_table

    for shape, prefix in (("channel", ""), ("angle", "L ")):
        table = size_table(shape, "mm")
        assert table is not None
        for size in table.sizes:
            section: Any = designated(prefix + size.name).section
            assert section.sizes == dict(size.sizes)
