"""ISO 13920 and ISO 286 against the published tables (check values 6)."""

from __future__ import annotations

import math

import pytest

from inventory.errors import InvalidDocument
from solver.rule_book import VALUES
from solver.standards.iso286 import clearance
from solver.standards.iso13920 import LINEAR_MM, angular_degrees, angular_mm, linear_mm


@pytest.mark.parametrize(
    ("tolerance_class", "length", "plus_minus"),
    [
        ("B", 25, 1), ("B", 120, 2), ("B", 121, 2), ("B", 400, 2), ("B", 401, 3), ("B", 500, 3), ("B", 1500, 4),
        ("C", 1500, 8), ("A", 1000, 2), ("D", 30, 1), ("D", 31, 4),
    ],
)  # fmt: skip
def test_iso_13920_linear(tolerance_class: str, length: float, plus_minus: float) -> None:
    # ISO 13920 table 1, values read in a public code base holding all tables and in a script that checks the standard's text.
    assert linear_mm(tolerance_class, length) == plus_minus


RANGES = (30, 120, 400, 1000, 2000, 4000, 8000, 12_000, 16_000, 20_000)
LINEAR = {
    "A": "1 1 1 2 3 4 5 6 7 8 9",
    "B": "1 2 2 3 4 6 8 10 12 14 16",
    "C": "1 3 4 6 8 11 14 18 21 24 27",
    "D": "1 4 7 9 12 16 21 27 32 36 40",
}


def test_iso_13920_tables_cell_by_cell() -> None:
    # Table 1 as read in a public code base: at the upper bound of each range and just above it.
    for name, row in LINEAR.items():
        cells = [float(cell) for cell in row.split()]
        assert [linear_mm(name, bound) for bound in RANGES] == cells[:-1]
        assert [linear_mm(name, bound + 0.01) for bound in RANGES] == cells[1:]


def test_the_fixture_may_use_20_to_50_percent_of_a_tolerance() -> None:
    # Tool tolerance, a lecture on design economics (scribd.com 487057115): class B at 500 mm, +-3 mm, leaves +-0.6 to +-1.5 mm.
    share = VALUES["locate.tolerance_share"].default
    assert 0.6 <= share * linear_mm("B", 500) <= 1.5


def test_iso_13920_linear_has_a_value_beyond_20_m_for_every_class() -> None:
    # The self-check against the column shift of flattened copies: 9, 16, 27, 40; first cell 1 for all.
    assert [linear_mm(name, 20_001) for name in "ABCD"] == [9, 16, 27, 40]
    assert [linear_mm(name, 2) for name in "ABCD"] == [1, 1, 1, 1]
    assert all(len(row) == 11 and list(row) == sorted(row) for row in LINEAR_MM.values())


@pytest.mark.parametrize(
    ("tolerance_class", "minutes", "mm_per_m"),
    [
        ("A", (20, 15, 10), (6, 4.5, 3)),
        ("B", (45, 30, 20), (13, 9, 6)),
        ("C", (60, 45, 30), (18, 13, 9)),
        ("D", (90, 75, 60), (26, 22, 18)),
    ],
)
def test_iso_13920_angular(tolerance_class: str, minutes: tuple[float, ...], mm_per_m: tuple[float, ...]) -> None:
    # ISO 13920 table 2 as read in a public code base and at modulusmetal.com: up to 400, up to 1000, above 1000 mm of the shorter leg.
    for legs, minute, per_m in zip(((1, 400), (400.01, 1000), (1000.01, 9000)), minutes, mm_per_m, strict=True):
        for leg in legs:
            assert angular_degrees(tolerance_class, leg) == pytest.approx(minute / 60)
            assert angular_mm(tolerance_class, leg) == pytest.approx(per_m * leg / 1000)


def test_iso_13920_angular_class_b_over_300_mm() -> None:
    # The same source: 45 minutes, or 3.9 mm.
    assert (angular_degrees("B", 300), angular_mm("B", 300)) == pytest.approx((0.75, 3.9))


def test_the_two_columns_of_iso_13920_table_2_say_the_same() -> None:
    # mm per m is 1000 times the angle's tangent, rounded by the standard; farthest off is one degree: 17.46 stands as 18.
    for name in "ABCD":
        for leg in (400, 1000, 1001):
            assert 1000 * math.tan(math.radians(angular_degrees(name, leg))) == pytest.approx(
                angular_mm(name, leg) / leg * 1000, abs=0.55
            )


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: linear_mm("E", 100), "no class 'E'"),
        (lambda: linear_mm("B", 1.9), "nothing for 1.9 mm"),
        (lambda: angular_mm("E", 100), "no class 'E'"),
        (lambda: angular_degrees("B", 0), "nothing for 0 mm"),
        (lambda: clearance(9, "H7/g6"), "no limits for 9 mm"),
        (lambda: clearance(16, "H8/g6"), "no limits for the fit 'H8/g6'"),
    ],
)
def test_what_the_tables_do_not_hold_is_refused(ask, says: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InvalidDocument, match=says):
        ask()


@pytest.mark.parametrize(
    ("diameter", "fit", "least_um", "most_um"),
    [
        (12, "H7/g6", 6, 35), (16, "H7/g6", 6, 35), (16, "H7/h6", 0, 29), (16, "H7/f7", 16, 52),
        (28, "H7/g6", 7, 41), (28, "H7/h6", 0, 34), (28, "H7/f7", 20, 62),
    ],
)  # fmt: skip
def test_iso_286_clearances(diameter: float, fit: str, least_um: float, most_um: float) -> None:
    # H7 from deepri.com, h6 from precisemetal.in, f7, g6, h6 from JIS B 0401 (1999) at docs.steelcam.org; pressfit 0.1.0.
    found = clearance(diameter, fit)
    assert (found.least_mm * 1000, found.most_mm * 1000) == pytest.approx((least_um, most_um))
