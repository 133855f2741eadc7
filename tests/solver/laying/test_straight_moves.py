"""Ways past parts and the order that follows: how far a lift and a slide go, taking apart one by one, parts that lock."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations
from random import Random

import numpy as np
import pytest

from inventory.shapes import Point2, Point3
from solver.deadline import DeadlinePassed
from solver.geometry.hulls import Hulls
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lay_out import lay_out
from solver.laying.straight_moves import LazyRoutes, Passage, Route, routes_past
from solver.rule_book.book import RuleBook
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests import builders as b

NOTHING = Hulls.of([], [])


def lying(weldment: Weldment) -> LaidWeldment:
    return lay_out(weldment, RuleBook({}), np.eye(3), 0.0, [])


def channel(id: str = "channel", at: Point3 = (60, 0, 40)) -> Part:
    """A channel 80 high, 200 long along y, open towards -x: web at x 52..60, flanges 8 thick from x 0."""
    return Part(id, Section("channel", height=80, flange=60, web=8, flange_thickness=8), 200, Pose(at, b.Y, b.Z))


def profile(id: str, *outline: Point2, length: float = 200) -> Part:
    """Any profile, drawn in (x, z), 0..length along y."""
    return Part(id, Section("plate", plate_outline=tuple((-x, z) for x, z in outline)), length, Pose((0, 0, 0), b.Y, b.Z))


def stiffener(x: float = 22, width: float = 30, bottom: float = 8) -> Part:
    """A square bar along y, longer than the channel."""
    return b.bar("bar", width, width, 280, (x + width / 2, -40, bottom + width / 2), b.Y)


def ring(id: str, at: Point3, along: Point3) -> Part:
    """A square plate 100 x 100 x 8 with a hole of 60 x 60."""
    outline, hole = ((0, 0), (100, 0), (100, 100), (0, 100)), ((20, 20), (80, 20), (80, 80), (20, 80))
    return Part(
        id, Section("plate", plate_outline=outline, plate_cutouts=(hole,)), 8, Pose(at, along, b.Y if along == b.Z else b.Z)
    )


def ways_of(laid: LaidWeldment, part: int, others: tuple[int, ...], pieces: Hulls = NOTHING) -> list[list[list[float]]]:
    """Return the moves of every way a part has past others."""
    held = laid.parts
    passage = Passage.of(held[part], [held[k] for k in others], laid.touches, laid.rules["way.clear"])
    found = routes_past([held[part]], passage if others else None, pieces, laid.rules)
    return [[np.round(move, 6).tolist() for move in way.moves] for way in found]


def test_what_nothing_is_over_goes_straight_up() -> None:
    tab = lying(b.tab_on_tube())
    assert ways_of(tab, 1, (0,))[0] == [[0, 0, 150]]
    assert tab.order == (0, 1)


def test_a_slide_ends_just_beside_what_hangs_over() -> None:
    """The bar starts at x 22..52 under a flange that ends at x 0: 52 and a little more towards -x."""
    moves = ways_of(lying(b.weldment(channel(), stiffener())), 1, (0,))[0]
    assert moves == [[-54, 0, 0], [0, 0, 150]]


def test_a_lift_clears_the_lip_and_no_more() -> None:
    """Behind a lip 10 high, with too little room between flange and lip to come down in: lifted 10 and a little, slid, up."""
    rail = profile("rail", (0, 0), (-90, 0), (-90, 18), (-82, 18), (-82, 8), (-8, 8), (-8, 72), (-62, 72), (-62, 80), (0, 80))
    moves = ways_of(lying(b.weldment(rail, stiffener(x=-38))), 1, (0,))
    assert min(moves, key=lambda way: sum(np.linalg.norm(move) for move in way)) == [[0, 0, 12], [-56, 0, 0], [0, 0, 150]]


def test_ways_follow_the_pieces_that_may_stand() -> None:
    """Under a nose 60 to 75 high with its tip 30 over a plate, and behind a stop 25 high: lifts and slides to clear them."""
    plate = lying(b.weldment(b.plate(size=(200, 100), thickness=10)))
    nose = np.array([[x, y, z] for x in (-25, 30) for y in (40, 60) for z in (60, 75)], dtype=float)
    stop = np.array([[x, y, z] for x in (200, 230) for y in (40, 60) for z in (0, 25)], dtype=float)
    moves = ways_of(plate, 0, (), Hulls.of([nose, stop], [0, 1]))
    assert [[32, 0, 0], [0, 0, 150]] in moves and [[0, 0, 27], [32, 0, 0], [0, 0, 150]] in moves


def test_bars_that_fit_their_channel_without_play_slide_in() -> None:
    """A bar as high as the room between the flanges touches both; it is taken a hair slimmer on all sides."""
    fitting = lying(b.weldment(channel(), stiffener(x=-12, width=64)))
    assert fitting.order == (0, 1)
    assert ways_of(fitting, 1, (0,))[0][0][0] < 0


def test_an_interlock_is_loaded_in_the_order_that_taking_it_apart_gives() -> None:
    """Neither bar nor channel can be lowered past the other; the lighter one is slid in."""
    assert lying(b.weldment(stiffener(), channel())).order == (1, 0)


def test_what_carries_goes_in_before_what_it_carries() -> None:
    """The bar lies on the channel's lower flange: the channel goes in first though it is lighter."""
    heavy = b.bar("bar", 30, 60, 900, (37, -350, 38), b.Y)
    assert lying(b.weldment(heavy, channel())).order == (1, 0)


def test_links_of_a_chain_lock_each_other_and_are_named_alone() -> None:
    foot = b.plate("foot", (60, 60), 8, (200, 0, 0))
    chain = lying(b.weldment(foot, ring("ring", (0, 0, 50), b.Z), ring("link", (46, 50, 0), b.X)))
    assert chain.order is None
    assert [chain.parts[k].id for k in chain.locked] == ["ring", "link"]


@pytest.mark.parametrize("seed", range(8))
def test_an_order_is_found_whenever_any_order_works(seed: int) -> None:
    """Random heaps of channels, rings and bars: an order exists if and only if one of all permutations lets every part in."""
    draw = Random(seed)
    kinds = [
        lambda k: channel(f"c{k}", (draw.choice((60, 100)), draw.choice((0, 150)), draw.choice((40, 70)))),
        lambda k: ring(f"r{k}", (draw.choice((0, 46)), draw.choice((0, 50)), draw.choice((0, 50))), draw.choice((b.X, b.Z))),
        lambda k: b.bar(f"b{k}", 20, 20, 300, (draw.choice((20, 37)), -50, draw.choice((20, 60))), b.Y),
    ]
    heap = lying(b.weldment(*(draw.choice(kinds)(k) for k in range(4))))

    def goes_in(order: tuple[int, ...]) -> bool:
        return all(ways_of(heap, part, order[:k]) for k, part in enumerate(order))

    works = any(goes_in(order) for order in permutations(range(4)))
    assert (heap.order is not None) == works
    assert heap.order is None or goes_in(heap.order)
    assert bool(heap.locked) == (heap.order is None)


def test_routes_given_up_on_are_made_when_they_are_asked_for_again() -> None:
    """Who asks later is told of every route, not that there are no more."""
    plain, given_up = [Route((np.array([0.0, 0.0, height]),)) for height in (1.0, 2.0, 3.0)], [True]

    def made() -> Iterator[Route]:
        yield plain[0]
        if given_up.pop() if given_up else False:
            raise DeadlinePassed("in the middle")
        yield from plain[1:]

    routes = LazyRoutes(made)
    with pytest.raises(DeadlinePassed):
        list(routes)
    assert list(routes) == plain
