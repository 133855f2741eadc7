"""Alternatives beside each other: traits, titles, and differences in the trade's words."""

from __future__ import annotations

from dataclasses import replace

from service.documents import read_plan
from solver.answer.comparison import fewer, ranked
from solver.plans import Alternative, Cost, KitLine, Measures, PlacedContact, Placement
from tests.service.documents import samples

NAMES = {
    "low": "Low stop, 25 high", "swivel": "Swivel stop, turns to any angle", "pin": "Round pin", "vee": "V-block, 60 across",
    "clamp": "Screw clamp",
}  # fmt: skip
NEAR, FAR, LEFT = (0.0, 1.0, 0.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0)
UP, DOWN = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
Stands = tuple[str, tuple[float, float, float]]


def alternative(cents: int, *stands: Stands, setup_s: int = 300, error: float = 0.1, stiff: float = 100.0) -> Alternative:
    """An alternative with pieces that touch the rail from some sides."""
    (one,) = read_plan(samples.plan()).alternatives
    placements = tuple(
        Placement(
            f"p{k}", item, "A1", 0.0, None, None, (("rail", "end" if normal == LEFT else "side"),), (), None,
            (PlacedContact("rail", "side:0", (0, 0, 0), normal, ((0, 0, 0),)),),
        )
        for k, (item, normal) in enumerate(stands)
    )  # fmt: skip
    kit = tuple(
        KitLine(item, sum(item == other for other, _ in stands), "", 0, NAMES.get(item, item))
        for item in sorted({item for item, _ in stands})
    )
    measures = Measures(len(stands), error, stiff, 1.0)
    cost = Cost(cents, cents, 0, 0, 0, 0)
    return replace(one, placements=placements, kit=kit, cost=cost, setup_s=setup_s, cycle_s=20, measures=measures)


def test_which_pieces_come_and_go_at_which_side_of_which_part() -> None:
    first = alternative(1000, ("low", NEAR), ("low", NEAR), ("low", LEFT), error=0.2)
    other = alternative(1120, ("swivel", NEAR), ("swivel", NEAR), ("low", LEFT), setup_s=324)
    _, said = ranked([first, other])
    assert said.differs == (
        "2 x swivel stop at the near side of rail instead of 2 x low stop at the near side of rail; 1.20 dearer; 24 s longer to"
        " set; 0.10 mm truer"
    )


def test_what_stands_the_same_is_not_named() -> None:
    first = alternative(1000, ("low", NEAR), ("low", FAR), ("clamp", DOWN))
    other = alternative(1000, ("low", NEAR), ("vee", UP), ("clamp", DOWN))
    _, said = ranked([first, other])
    assert said.differs == "1 x V-block under rail instead of 1 x low stop at the far side of rail; at the same price"


def test_fewer_pieces_are_what_it_does_without() -> None:
    _, said = ranked([alternative(900, ("low", NEAR), ("pin", LEFT)), alternative(1000, ("low", NEAR))])
    assert said.differs.startswith("without 1 x round pin at the left end of rail; 1.00 dearer")
    assert said.title == "fewest pieces"


def test_items_that_would_be_called_alike_are_told_by_more_of_their_names() -> None:
    first = alternative(1000, ("pin", NEAR))
    others = [alternative(1000 + k, (item, NEAR)) for k, item in enumerate(("pin-a", "pin-b"))]
    named = [replace(each, kit=tuple(replace(line, name="Round pin") for line in each.kit)) for each in others]
    texts = [each.differs for each in ranked([first, *named])]
    assert len(set(texts)) == 3 and "Round pin (pin-b)" in texts[2]


def test_each_says_in_what_it_is_best_and_of_several_as_good_each_does() -> None:
    cheap = alternative(1000, ("low", NEAR), ("low", FAR), setup_s=300, error=0.2, stiff=100)
    quick = alternative(1100, ("pin", NEAR), ("pin", FAR), setup_s=200, error=0.2, stiff=200)
    true = alternative(1200, ("vee", UP), ("pin", FAR), setup_s=300, error=0.1, stiff=200)
    first, second, third = ranked([true, quick, cheap])
    assert first.traits == ("cheapest", "fewest_pieces", "fastest_cycle", "spares_scarce")
    assert second.traits == ("fewest_pieces", "fastest_setup", "fastest_cycle", "stiffest", "spares_scarce")
    assert third.traits == ("fewest_pieces", "fastest_cycle", "stiffest", "truest", "spares_scarce")
    assert [each.title for each in (first, second, third)] == ["cheapest", "fastest to set up", "truest"]
    assert [each.rank for each in (first, second, third)] == [1, 2, 3]


def test_a_single_alternative_is_best_in_everything_and_differs_from_nothing() -> None:
    (only,) = ranked([alternative(1000, ("low", NEAR))])
    assert len(only.traits) == 7 and only.differs == "" and only.title == "cheapest"


def test_fewer_kits_than_asked_for_are_told() -> None:
    assert not list(fewer(5, 5, complete=True)) and not list(fewer(0, 5, complete=True))
    (proved,), (open_,) = fewer(1, 5, complete=True), fewer(2, 5, complete=False)
    assert proved.ok and proved.text.startswith("1 kit of 5 asked for: any other takes all pieces")
    assert "the search ended" in open_.text
