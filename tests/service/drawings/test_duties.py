"""What a piece does is said with the face at which it does it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.drawings.duties import duties
from solver.plans import Role
from tests.service.drawings.example import alternative, subject


def test_every_piece_says_what_it_does_at_which_face() -> None:
    assert duties(subject()) == {
        "p1": "side at the near side of bar-1",
        "p2": "side at the near side of bar-1",
        "p3": "end at the left side of bar-1",
        "p4": "clamps the top of bar-1",
        "p5": "carries p10",
        "p10": "side at the right side of bar-1",
    }


def test_two_roles_and_two_faces_of_a_part_are_said_together() -> None:
    first, *others = alternative().placements
    low = replace(first.contacts[0], face="start")
    vee = replace(first, locates=(("bar-1", "support"), ("bar-1", "side")), contacts=(*first.contacts, low, low))
    other = replace(others[0], contacts=(*others[0].contacts, replace(low, part="bar-2")))
    found = duties(subject(replace(alternative(), placements=(vee, other, *others[1:]))))
    assert found["p1"] == "support and side at the near side of bar-1 and the near end of bar-1"
    assert found["p2"] == "side at the near side of bar-1; touches the near end of bar-2"


def test_three_of_a_kind_are_listed_as_a_sentence_lists_them() -> None:
    *others, raised = alternative().placements
    more = tuple(replace(raised, id=f"p{k}") for k in (10, 11, 12))
    roles: tuple[tuple[str, Role], ...] = (("bar-1", "support"), ("bar-1", "side"), ("bar-1", "end"))
    busy = (replace(others[0], locates=roles), *others[1:], *more)
    found = duties(subject(replace(alternative(), placements=busy)))
    assert found["p5"] == "carries p10, p11 and p12"
    assert found["p1"] == "support, side and end at the near side of bar-1"


def test_an_item_the_stock_does_not_know_is_refused() -> None:
    first, *others = alternative().placements
    with pytest.raises(KeyError, match="unheard-of"):
        duties(subject(replace(alternative(), placements=(replace(first, item="unheard-of"), *others))))
