"""Described pieces: what a description says, what it may not say, and pieces as they stand in an alternative."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inventory.errors import InvalidDocument
from solver.checks.scene.reading import read_alternative
from solver.described_pieces import DescribedPiece, KeptPiece
from tests import builders as b
from tests.solver.checks import tab_job


def pointers(refused: pytest.ExceptionInfo[InvalidDocument]) -> list[str]:
    return [fault.pointer for fault in refused.value.faults]


@pytest.mark.parametrize(
    ("described", "words"),
    [
        (DescribedPiece(item="square", role="side", part="rail"), "square as side of rail"),
        (DescribedPiece(hole=(2, 6)), "a piece in C7"),
        (DescribedPiece(row=2), "a piece in row 3"),
        (DescribedPiece(column=26, table="T2"), "a piece in column AA on table T2"),
        (DescribedPiece(part="rail"), "a piece at rail"),
        (DescribedPiece(part="rail", face="side:2", role="side"), "a piece at side:2 of rail as side"),
        (DescribedPiece(piece=KeptPiece("p3", "T1", (("stop", "C7", 0.0, None),))), "a piece just as p3"),
    ],
)
def test_a_description_in_words(described: DescribedPiece, words: str) -> None:
    assert described.words() == words


def test_a_description_says_something_that_can_be() -> None:
    with pytest.raises(InvalidDocument) as nothing:
        DescribedPiece()
    assert pointers(nothing) == [""]
    with pytest.raises(InvalidDocument) as wrong:
        DescribedPiece(item="", role="top", row=5000)  # type: ignore[arg-type]
    assert sorted(pointers(wrong)) == ["/as", "/item", "/row"]
    assert DescribedPiece(row=999).row == 999


def test_a_request_knows_its_parts_faces_and_tables() -> None:
    bar = b.weldment(b.bar())
    with pytest.raises(InvalidDocument) as wrong:
        b.request(
            bar,
            pins=(DescribedPiece(part="rail"), DescribedPiece(part="bar", face="side:4"), DescribedPiece(face="cut:0")),
            avoid=(DescribedPiece(table="T2"),),
        )
    assert pointers(wrong) == ["/pins/0/part", "/pins/1/face", "/pins/2/face", "/avoid/0/table"]
    assert b.request(bar, pins=(DescribedPiece(part="bar", face="side:3", table="T1"),)).pins


def test_a_request_describes_fifty_pieces_at_most() -> None:
    row = DescribedPiece(row=1)
    assert b.request(b.weldment(b.bar()), avoid=(row,) * 50).avoid
    with pytest.raises(InvalidDocument) as wrong:
        b.request(b.weldment(b.bar()), avoid=(row,) * 51)
    assert pointers(wrong) == ["/avoid"]


def test_a_kept_piece_is_told_down_to_the_table() -> None:
    alternative = read_alternative(tab_job.tab_alternative())
    first, second, *others = alternative.placements
    stacked = replace(alternative, placements=(first, replace(second, hole=None, stands_on=first.id), *others))
    found = KeptPiece.of(stacked, second.id)
    assert found is not None and found.table == alternative.table
    assert [level[0] for level in found.levels] == [second.item, first.item]
    assert [level[1] for level in found.levels] == [None, first.hole]
    assert KeptPiece.of(alternative, "nobody") is None


def test_pieces_that_stand_on_each_other_in_a_circle_are_no_kept_piece() -> None:
    alternative = read_alternative(tab_job.tab_alternative())
    first, *others = alternative.placements
    circle = replace(alternative, placements=(replace(first, hole=None, stands_on=first.id), *others))
    assert KeptPiece.of(circle, first.id) is None
