"""A STEP assembly has every solid of the plan exactly, under its id, in its colour, and says no time and no machine."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from inventory.items import Solid
from inventory.shapes import Prism
from service.drawings.models.bodies import FILLS, bodies
from service.drawings.models.step import as_step, written
from service.drawings.subject import Subject
from service.palette import rgb
from solver.plans import PlacedPart
from solver.sections import Section
from solver.sections.rings import circle
from solver.weldment import Part, Pose
from tests.builders import pin, tube, weldment
from tests.service.drawings.example import SHIFT, alternative, piece, question, stock, subject
from tests.service.drawings.hostile import CLAMP, FIRST, SECOND, WELDMENT, hostile_subject
from tests.service.drawings.models.reading import coordinates, corners_around, cylinder_radii, products, solids, volume
from tests.service.drawings.models.solids import SOLIDS, box

pytest.importorskip("OCP", reason="the extra `exchange` is not installed")


def of_every_make() -> Subject:
    """The example plan with parts of every make."""
    parts = tuple(PlacedPart(f"part {name}", (solid,), ("table",)) for name, (solid, _) in SOLIDS.items())
    return subject(replace(alternative(), parts=parts))


def test_every_product_has_the_plans_solids_in_their_colour(tmp_path: Path) -> None:
    from OCP.Quantity import Quantity_TOC_sRGB

    known = {body.name: body for body in bodies(of_every_make()) if body.material != "weld"}
    assembly, found = products(as_step(of_every_make()), tmp_path)
    assert assembly == "bars in line"
    assert [name for name, _, _ in found] == list(known)
    for name, shape, colour in found:
        assert len(list(solids(shape))) == len(known[name].solids)
        for solid, prism in zip(solids(shape), known[name].solids, strict=True):
            assert list(map(coordinates, corners_around(solid))) == pytest.approx(box((prism,)), abs=1e-6)
        assert colour.Values(Quantity_TOC_sRGB) == pytest.approx(rgb(FILLS[known[name].material]), abs=1e-6)


def test_names_are_found_by_readers(tmp_path: Path) -> None:
    """The reader here leaves two backslashes where one is meant."""
    assembly, found = products(as_step(hostile_subject()), tmp_path)
    names = {name.replace("\\\\", "\\") for name, _, _ in found}
    assert assembly.replace("\\\\", "\\") == WELDMENT
    assert {FIRST, SECOND, CLAMP} <= names


@pytest.mark.parametrize("drawn", [subject(), of_every_make(), hostile_subject()], ids=["example", "every make", "hostile"])
def test_the_bytes_are_the_same_and_ascii(drawn: Subject) -> None:
    content = as_step(drawn)
    assert content == as_step(drawn)
    assert content.isascii()
    assert b"'2000-01-01T00:00:00'" in content and b".MILLI.,.METRE." in content


def test_tubes_and_pins_have_their_arcs(tmp_path: Path) -> None:
    """A part is its section, a round piece the circle it stands for; a part of another section than asked for is as planned."""
    pipe = Part("pipe", Section("round_tube", diameter=60, wall=4), 300, Pose((0, 0, 30), (1, 0, 0), (0, 0, 1)))
    post, odd = tube("post"), tube("odd", width=60)
    asked = weldment(pipe, post, odd, name="arcs")
    drawn = [part.placed(np.array(SHIFT) @ part.pose.frame()) for part in (pipe, post, tube("odd", width=40))]
    parts = tuple(PlacedPart(part.id, (solid,), ("table",)) for part, solid in zip(asked.parts, drawn, strict=True))
    peg = replace(pin(), solids=(Solid(Prism(circle(20, 48, circumscribe=True), 0, 60, (circle(8, 60, circumscribe=False),))),))
    round_pin = piece("p1", peg, "D4", 0, "side", (160, 175, 5), (0, 1, 0))
    shelf = replace(stock(), items={**stock().items, peg.id: peg})
    told = Subject(replace(alternative(), parts=parts, placements=(round_pin,)), replace(question(), weldment=asked), shelf)
    found = {name: shape for name, shape, _ in products(as_step(told), tmp_path)[1]}
    assert {name: cylinder_radii(shape) for name, shape in found.items()} == {
        "table": [], "pipe": [26, 30], "post": [3] * 4 + [6] * 4, "odd": [], "p1": [4, 10],
    }  # fmt: skip
    assert volume(found["pipe"]) == pytest.approx(math.pi * 56 * 4 * 300, rel=1e-9)
    around = [coordinates(corner) for corner in corners_around(found["pipe"])]
    assert around == [pytest.approx((135, 170, 0), abs=1e-6), pytest.approx((435, 230, 60), abs=1e-6)]


def test_nothing_is_printed(capfd: pytest.CaptureFixture[str]) -> None:
    as_step(subject())
    assert capfd.readouterr() == ("", "")


def test_instances_are_numbered_from_one() -> None:
    numbers = re.findall(rb"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('(\d+)'", as_step(subject()))
    assert [int(number) for number in numbers] == list(range(1, 10))


def test_texts_are_written_as_the_standard_says() -> None:
    r"""ISO 10303-21 strings: ``''`` and ``\\`` for the signs themselves, ``\X2\`` with four digits a letter, ``\X4\`` with eight."""
    assert written("it's a \\") == r"'it''s a \\'"
    assert written("Träger שׁ") == r"'Tr\X2\00E4\X0\ger \X2\05E905C1\X0\'"
    assert written("\U0001f600é\U0001f600") == r"'\X4\0001F600\X0\\X2\00E9\X0\\X4\0001F600\X0\'"
