"""When a message is sent again: the convention's example schedule, spread a little."""

from __future__ import annotations

import pytest

from service.webhooks.schedule import DELAYS_S, again_in_s

# Source: Standard Webhooks 1.0.0, "Deliverability and reliability", column "Time since start".
SINCE_START = ("00:00:05", "00:05:05", "00:35:05", "02:35:05", "07:35:05", "17:35:05", "31:35:05", "51:35:05", "75:35:05")


def seconds(text: str) -> int:
    hours, minutes, rest = map(int, text.split(":"))
    return 3600 * hours + 60 * minutes + rest


def test_the_delays_are_those_of_the_convention() -> None:
    assert [sum(DELAYS_S[: count + 1]) for count in range(len(DELAYS_S))] == list(map(seconds, SINCE_START))


@pytest.mark.parametrize("attempt", range(1, 10))
def test_each_delay_is_spread_by_a_tenth(attempt: int) -> None:
    found = [again_in_s(attempt) or 0.0 for _ in range(200)]
    assert len(set(found)) > 100
    assert 0.9 * DELAYS_S[attempt - 1] <= min(found) <= max(found) <= 1.1 * DELAYS_S[attempt - 1]


def test_after_the_tenth_attempt_it_is_given_up() -> None:
    assert again_in_s(9) is not None and again_in_s(10) is None


def test_a_receivers_wish_to_wait_is_kept_to_up_to_a_day() -> None:
    assert again_in_s(1, 120) == 120
    assert again_in_s(1, 1) != 1
    assert again_in_s(1, 1e9) == 86400
