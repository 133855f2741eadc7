"""Thirty drawn weldments written as STEP, and STEP files written by hand, are read back exactly: every part, length, place and mitre."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.exchange.weldments.readers import READERS
from service.exchange.weldments.weldment_reading import ReadingOptions, WeldmentReading
from solver.weldment import Part
from tests.drawn_weldments.corpus import CORPUS
from tests.drawn_weldments.drawn_weldment import (
    DrawnPart,
    DrawnWeldment,
    Schema,
    X,
    Y,
    Z,
    box_plate,
    member,
    plane,
    rect,
    rod,
)
from tests.drawn_weldments.same_body import NEAR, differences, length_left
from tests.drawn_weldments.step_files import step_file

BY_HAND = Path(__file__).parents[3] / "drawn_weldments" / "by_hand"
DIALECTS: dict[Schema, str] = {"AP203": "AP203", "AP214IS": "AP214", "AP242DIS": "AP242"}
UNITS = {"MM": "mm", "CM": "cm", "M": "m", "INCH": "inch", "FT": "foot"}
ALIKE = {"flat_bar": "plate"}
"""Sections that are one body: a rectangular plate may be read as a flat bar, and the other way round."""


def read(content: bytes, name: str) -> WeldmentReading:
    return READERS["step"].read(content, name, ReadingOptions())


def matched(drawn: tuple[DrawnPart, ...], reading: WeldmentReading) -> list[tuple[DrawnPart, Part]]:
    """Return each drawn part with the one it was read as; fails if there is none, or if any is left over."""
    left, found = list(reading.parts), []
    for one in drawn:
        unlike = {part.id: differences(one, part) for part in left}
        same = next((part for part in left if not unlike[part.id]), None)
        assert same is not None, f"{one.name}: {min(unlike.values(), key=len)}"
        left.remove(same)
        found.append((one, same))
    assert left == []
    return found


def compound(part: Part) -> bool:
    """Whether an end is cut two ways at once: then a tube's rounded corner, or a flat's end, is the last of it."""
    return any(abs(cut.normal[0]) > 1e-6 and abs(cut.normal[1]) > 1e-6 for cut in part.cuts)


@pytest.mark.parametrize("drawn", CORPUS, ids=lambda drawn: drawn.name)
def test_what_is_drawn_is_read_exactly(drawn: DrawnWeldment) -> None:
    reading = read(step_file(drawn), "nameless")
    assert (reading.kind, reading.dialect, reading.units) == ("step", DIALECTS[drawn.schema], UNITS[drawn.unit])
    assert [(body.outcome, body.remarks) for body in reading.bodies] == [("part", ())] * len(drawn.parts)
    names = {body.part: body.name.rpartition("/")[2] for body in reading.bodies}
    for one, part in matched(drawn.drawn, reading):
        shapes = [ALIKE.get(shape, shape) for shape in (one.part.section.shape, part.section.shape)]
        assert shapes[0] == shapes[1]
        assert len(part.cuts) == len(one.part.cuts)
        slack = part.section.outside_radius if compound(part) else 0.0
        assert -NEAR <= part.length - length_left(one.part) <= slack + NEAR
        if not drawn.loose:
            assert names[part.id].startswith(one.name.rpartition("/")[2].replace("/", "_"))


INCH = 25.4
WRITTEN = {
    "block.step": ("AP203", "mm", (box_plate("pad", (10, -20, 5), (70, 20, 17)),)),
    "mitred_tube.step": (
        "AP214", "inch",
        (
            member(
                "rail, mitred", rect(2 * INCH, 3 * INCH, INCH / 4, 0), 20 * INCH, (0, 0, 0), X, Z,
                [plane((20 * INCH, -INCH, 0), (1, 1, 0))],
            ),
        ),
    ),
    "pin_on_plate.step": (
        "AP242", "m", (box_plate("plate", (500, 0, 0), (700, 100, 10)), member("pin", rod(24), 150, (560, -25, 22), Y, Z)),
    ),
}  # fmt: skip
"""What the files written by hand hold."""


@pytest.mark.parametrize("name", WRITTEN)
def test_files_written_by_hand_are_read_exactly(name: str) -> None:
    dialect, units, parts = WRITTEN[name]
    reading = read((BY_HAND / name).read_bytes(), "nameless")
    assert (reading.dialect, reading.units) == (dialect, units)
    assert {body.name.rpartition("/")[2] for body in reading.bodies} == {part.name for part in parts}
    for one, part in matched(parts, reading):
        assert abs(part.length - one.part.length) <= NEAR


def test_every_file_written_by_hand_is_read() -> None:
    assert {path.name for path in BY_HAND.iterdir()} == set(WRITTEN)
