"""How much each may ask for."""

from __future__ import annotations

from service.access.rates import RequestRate, network_of


def test_so_many_a_minute_and_each_for_itself(clock: list[float]) -> None:
    rate = RequestRate(3)
    assert [rate.wait_s("one") is None for _ in range(5)] == [True, True, True, False, False]
    assert rate.wait_s("other") is None
    assert rate.full_s("one") is not None and rate.full_s("other") is None


def test_the_window_moves_with_the_clock(clock: list[float]) -> None:
    rate = RequestRate(4)
    clock[0] += 30
    assert [rate.wait_s("one") for _ in range(4)] == [None] * 4
    wait = rate.wait_s("one")
    assert wait is not None and 1 <= wait <= 60
    clock[0] += 30 + 15  # three quarters of the minute before still count: 3 of 4
    assert [rate.wait_s("one") is None for _ in range(2)] == [True, False]
    clock[0] += 120
    assert [rate.wait_s("one") is None for _ in range(5)] == [True] * 4 + [False]


def test_memory_stays_bounded_however_many_come(clock: list[float]) -> None:
    rate = RequestRate(2, most_callers=10)
    for number in range(1000):
        rate.wait_s(f"10.0.{number // 256}.{number % 256}")
    assert len(rate._storage.storage) <= 11
    assert rate.wait_s("newcomer") is not None, "all who come on top share one limit"
    assert rate.wait_s("10.0.0.1") is None, "who was there before does not"


def test_an_ipv6_site_is_one_caller() -> None:
    assert network_of("2001:db8::1") == network_of("2001:db8::ffff") == "2001:db8::/64"
    assert network_of("2001:db8:0:1::1") != network_of("2001:db8::1")
    assert (network_of("203.0.113.9"), network_of("unknown")) == ("203.0.113.9", "unknown")
