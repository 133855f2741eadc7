"""What was asked for lately is at hand, within its bytes; what several want at once is made once."""

from __future__ import annotations

import threading

import pytest

from service.http.sheets.sheet_cache import SheetCache


def never() -> bytes:
    raise AssertionError("it is at hand already")


def test_what_is_kept_is_not_made_again() -> None:
    cache = SheetCache(100)
    assert cache.kept("a") is None
    assert cache.content("a", lambda: b"sheet") == b"sheet" == cache.content("a", never) == cache.kept("a")


def test_those_not_asked_for_longest_are_forgotten_first() -> None:
    cache = SheetCache(10)
    for key in ("a", "b"):
        cache.content(key, lambda: b"12345")
    cache.content("a", never)
    cache.content("c", lambda: b"12345")
    assert [cache.kept(key) is not None for key in ("a", "b", "c")] == [True, False, True]
    assert cache.content("large", lambda: b"x" * 11) == b"x" * 11
    assert cache.kept("large") is None and cache.kept("c") is not None


def test_asking_for_what_is_kept_counts_as_use() -> None:
    cache = SheetCache(10)
    for key in ("a", "b"):
        cache.content(key, lambda: b"12345")
    cache.kept("a")
    cache.content("c", lambda: b"12345")
    assert cache.kept("a") is not None and cache.kept("b") is None


def test_several_who_ask_at_once_share_one_making() -> None:
    cache, asked, go_on = SheetCache(100), threading.Event(), threading.Event()
    made: list[int] = []
    found: list[bytes] = []

    def slowly() -> bytes:
        made.append(1)
        asked.set()
        assert go_on.wait(20)
        return b"sheet"

    threads = [threading.Thread(target=lambda: found.append(cache.content("a", slowly))) for _ in range(5)]
    threads[0].start()
    assert asked.wait(20)
    for thread in threads[1:]:
        thread.start()
    go_on.set()
    for thread in threads:
        thread.join()
    assert (found, made) == ([b"sheet"] * 5, [1])


def test_what_goes_wrong_is_told_and_not_kept() -> None:
    cache = SheetCache(100)

    def fails() -> bytes:
        raise TimeoutError("too long")

    with pytest.raises(TimeoutError):
        cache.content("a", fails)
    assert cache.content("a", lambda: b"sheet") == b"sheet"
