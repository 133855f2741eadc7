"""A thread that does rounds: it outlives what they raise, comes when woken, and stops."""

from __future__ import annotations

import threading

from service.background import Rounds


def test_a_round_that_raises_is_followed_by_the_next() -> None:
    done: list[int] = []
    second = threading.Event()

    def round() -> None:
        done.append(len(done))
        if len(done) == 1:
            raise OSError("the disk is full")
        second.set()

    rounds = Rounds("test", 60, round)
    rounds.start()
    while not done:
        pass
    rounds.wake()
    assert second.wait(10)
    rounds.stop()
    assert not rounds.alive and rounds.stopping
