"""A beam and the play of pegs, worked into an item's figures as it is read."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents import read_item
from service.documents.items import item_document
from tests.service.documents import samples

SHS = {"shape": "square_tube", "width": 40, "wall": 3}


def read(**more: Any) -> Any:
    return read_item(samples.item(stiffness_n_per_mm=15000, repeatability_mm=0.05, **more))


def test_a_beam_acts_in_series_with_the_stiffness_stated() -> None:
    # Hand calculation: SHS 40x40x3 (I = 93 200 mm4, EN 10219-2), 300 mm: 200 N give 0.09197 mm, so 2174.6 N/mm; in series with
    # 15 000 N/mm: 1899.2 N/mm.
    assert read(beam={"section": SHS, "length": 300}).stiffness_n_per_mm == pytest.approx(1899.2, rel=1e-3)
    assert read().stiffness_n_per_mm == pytest.approx(15000)


def test_an_arm_twice_as_long_is_eight_times_as_soft() -> None:
    # visualized.engineering, cantilever beam: deflection grows with the cube of the length.
    softness = [1 / read(beam={"section": SHS, "length": length}).stiffness_n_per_mm - 1 / 15000 for length in (150, 300)]
    assert softness[1] == pytest.approx(8 * softness[0])


def test_a_beam_bends_about_its_weaker_axis_and_aluminium_three_times_as_far() -> None:
    # Hand calculation: b h^3 / 12 of a flat bar 40 x 10: 3333 mm4 about the weaker axis; E 210 000 against 70 000 MPa.
    flat = {"shape": "flat_bar", "width": 40, "thickness": 10}
    steel, aluminium = (
        1 / read(beam={"section": flat, "length": 100, "material": material}).stiffness_n_per_mm - 1 / 15000
        for material in ("steel", "aluminium")
    )
    assert 1 / steel == pytest.approx(3 * 210_000 * 10**3 * 40 / 12 / 100**3)
    assert aluminium == pytest.approx(3 * steel)


def test_play_of_the_pegs_adds_to_the_repeatability() -> None:
    # ISO 286: 16 H7/g6 has 35 um of clearance at most (JIS B 0401 (1999), docs.steelcam.org): 0.0175 mm either way.
    assert read(peg_fit={"diameter": 16}).repeatability_mm == pytest.approx(0.05 + 0.0175)
    assert read(peg_fit={"diameter": 28, "fit": "H7/f7"}).repeatability_mm == pytest.approx(0.05 + 0.031)


@pytest.mark.parametrize(
    ("peg_fit", "pointer"), [({"diameter": 8}, "/peg_fit/diameter"), ({"diameter": 16, "fit": "H8/g6"}, "/peg_fit/fit")]
)
def test_a_fit_without_limits_is_refused(peg_fit: dict[str, Any], pointer: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        read(peg_fit=peg_fit)
    assert [fault.pointer for fault in refused.value.faults] == [pointer]


def test_inches_hold_for_beam_and_pegs() -> None:
    def riser(unit: float, **more: Any) -> Any:
        block = [{"outline": [[0, 0], [30 / unit, 0], [30 / unit, 30 / unit]], "from": 0, "to": 40 / unit}]
        beam = {"section": {"shape": "round_bar", "diameter": 20 / unit}, "length": 100 / unit}
        return read(solids=block, contacts=[], kind="riser", beam=beam, peg_fit={"diameter": 16 / unit}, **more)

    inches, plain = riser(25.4, units="inch"), riser(1.0)
    assert inches.stiffness_n_per_mm == pytest.approx(plain.stiffness_n_per_mm) != 15000
    assert inches.repeatability_mm == pytest.approx(plain.repeatability_mm) != 0.05


def test_what_is_written_back_holds_both_and_reads_the_same() -> None:
    item = read(beam={"section": SHS, "length": 300}, peg_fit={"diameter": 16})
    assert read_item(item_document(item)) == item
