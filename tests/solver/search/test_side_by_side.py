"""Work in shares side by side: in order, whatever becomes of the children, and none of them is left behind."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any, NoReturn

import pytest

from solver.search.side_by_side import side_by_side

HERE = os.getpid()


@pytest.fixture(autouse=True)
def no_child_left() -> Iterator[None]:
    """After every test this process has no child that it has not waited for."""
    before = children()
    yield
    assert children() == before


def children() -> list[str]:
    """Return the processes begun here that are at work or not waited for."""
    found = []
    for name in filter(str.isdigit, os.listdir("/proc")):
        try:
            with open(f"/proc/{name}/stat", encoding="utf-8") as stat:
                parent = stat.read().rpartition(")")[2].split()[1]
        except OSError:
            continue
        found += [name] if int(parent) == os.getpid() else []
    return sorted(found)


def in_child(act: Callable[[], Any], answer: Any) -> Any:
    """Return an answer; in a child do something first."""
    if os.getpid() != HERE:
        act()
    return answer


def test_answers_come_in_the_order_of_the_tasks_each_from_a_process_of_its_own() -> None:
    found = side_by_side([partial(lambda number: (number, os.getpid()), number) for number in range(4)])
    assert [number for number, _ in found] == [0, 1, 2, 3]
    assert found[0][1] == os.getpid()
    assert len({pid for _, pid in found}) == 4


def test_one_task_is_done_here() -> None:
    assert side_by_side([os.getpid]) == [os.getpid()]
    assert side_by_side([lambda: None]) == [None]


def test_answers_longer_than_a_pipe_holds() -> None:
    assert side_by_side([lambda: b"", lambda: b"x" * 3_000_000])[1] == b"x" * 3_000_000


@pytest.mark.parametrize(
    "end",
    [
        lambda: os.kill(os.getpid(), signal.SIGKILL),
        lambda: os.kill(os.getpid(), signal.SIGINT),
        lambda: os._exit(0),
        lambda: sys.exit(3),
        lambda: 1 / 0,
    ],
    ids=["killed", "interrupted", "gone with nothing said", "exited", "failed"],
)
def test_the_share_of_a_child_that_dies_is_done_here(end: Callable[[], Any]) -> None:
    assert side_by_side([partial(in_child, end, number) for number in range(3)]) == [0, 1, 2]


def test_what_cannot_be_sent_is_done_here() -> None:
    tasks: list[Callable[[], Any]] = [lambda: None, threading.Lock]
    assert side_by_side(tasks)[1].acquire(blocking=False)


def test_what_a_task_raises_is_raised_here() -> None:
    with pytest.raises(ZeroDivisionError):
        side_by_side([lambda: 1, lambda: 1 // 0])


def test_children_end_with_what_is_raised_here() -> None:
    def interrupted() -> NoReturn:
        raise KeyboardInterrupt

    began = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        side_by_side([interrupted, lambda: time.sleep(60)])
    assert time.monotonic() - began < 30


def test_without_another_process_all_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    def none() -> NoReturn:
        raise BlockingIOError

    monkeypatch.setattr(os, "fork", none)
    assert side_by_side([os.getpid, os.getpid]) == [os.getpid(), os.getpid()]
    monkeypatch.delattr(os, "fork")
    assert side_by_side([os.getpid, os.getpid]) == [os.getpid(), os.getpid()]


def test_a_child_answers_signals_in_no_way_of_the_parents(capfd: pytest.CaptureFixture[str]) -> None:
    print("said once", end="")
    interrupted = signal.signal(signal.SIGINT, signal.default_int_handler)  # ignored where tests run in the background
    handled = signal.signal(signal.SIGTERM, lambda *_: print("handled"))
    ignored = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        asked = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP]
        told = side_by_side([list, lambda: [signal.getsignal(number) for number in asked]])
    finally:
        signal.signal(signal.SIGINT, interrupted)
        signal.signal(signal.SIGTERM, handled)
        signal.signal(signal.SIGHUP, ignored)
    assert told[1] == [signal.SIG_DFL, signal.SIG_DFL, signal.SIG_IGN]
    assert capfd.readouterr().out == "said once"
    assert signal.pthread_sigmask(signal.SIG_BLOCK, []) == set()


def test_open_files_stay_as_they_are() -> None:
    before = sorted(os.listdir("/proc/self/fd"))
    assert side_by_side([lambda: 0, lambda: 1, lambda: in_child(lambda: os._exit(1), 2)]) == [0, 1, 2]
    assert sorted(os.listdir("/proc/self/fd")) == before
