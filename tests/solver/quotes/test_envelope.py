"""Prices over quantity against looking at every quantity of invented kits."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as some

from solver.quotes import CycleRate, KitPrice, OtherWays, WantedPrices, break_even
from tests.solver.quotes.shops import Shop, scanned

KITS = some.lists(
    some.builds(
        lambda money, weights, cycle: KitPrice(money + weights, cycle, weights),
        some.integers(0, 9000), some.sampled_from((0, 0, 30, 60)), some.integers(10, 70),
    ),
    min_size=1, max_size=7,
)  # fmt: skip
RATES = some.sampled_from(
    [
        CycleRate(55, 36),
        CycleRate(1, 1),
        CycleRate(0, 1),
        CycleRate(1, 3600),
        CycleRate(7, 20),
        CycleRate(100, 3),
        CycleRate(2501, 7200),
    ]
)
QUANTITIES = some.lists(some.integers(1, 3000), min_size=1, max_size=6)


@settings(max_examples=150, deadline=None)
@given(KITS, RATES, QUANTITIES)
def test_every_asked_quantity_has_the_price_of_its_own_plan(kits: list[KitPrice], rate: CycleRate, asked: list[int]) -> None:
    shop = Shop(kits, rate)
    known = shop.quoted(WantedPrices(tuple(asked)))
    assert {q: known.price(q) for q in asked} == {q: shop.price(q) for q in asked}
    assert all(known.proved(q) for q in asked)
    assert len(shop.planned) <= max(2, 2 * len(set(asked)) + 2 * len(known.pieces))


@settings(max_examples=60, deadline=None)
@given(KITS, RATES, QUANTITIES, some.integers(0, 400))
def test_no_bound_lies_above_the_cheapest_kit_at_any_quantity(
    kits: list[KitPrice], rate: CycleRate, asked: list[int], short_by: int
) -> None:
    shop = Shop(kits, rate, short_by=short_by)
    known = shop.quoted(WantedPrices(tuple(asked)))
    for quantity in (*range(1, 3000, 61), *asked):
        assert known.bound(quantity) <= shop.price(quantity) <= (known.price(quantity) or 0)


@settings(max_examples=50, deadline=None)
@given(KITS, RATES, QUANTITIES, some.fractions(0, 300, max_denominator=200) | some.none(), some.integers(0, 9000))
def test_break_even_is_where_a_scan_of_every_quantity_finds_it(
    kits: list[KitPrice], rate: CycleRate, asked: list[int], each: Fraction | None, dedicated: int
) -> None:
    shop = Shop(kits, rate, largest=1200)
    ways = OtherWays(rate, None if each is None else each * rate.per_s, dedicated)
    known = shop.quoted(WantedPrices(tuple(min(q, 1200) for q in asked), ways))
    found, scan = break_even(known, ways), scanned(shop, ways)
    if rate.cents >= rate.seconds:  # a cent of rounding never makes two kits of different cycles equal at more than one quantity
        assert all(known.price(q) == shop.price(q) for q in range(1, 1201))
    assert all(known.price(q) == shop.price(q) for q in (*found.beside, *scan.beside) if q <= 1200)
    equal = any(one.total(q, rate) == other.total(q, rate) and one.weights_cents != other.weights_cents
                for q in scan.beside + found.beside for one in kits for other in kits)  # fmt: skip
    if not equal:
        assert found == scan
