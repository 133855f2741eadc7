"""What was asked for lately is at hand, within its bytes; what several want at once is made once."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from typing import Any

import pytest

from service.http.sheets.sheet_cache import SheetCache


def made(content: bytes) -> Callable[[], Coroutine[Any, Any, bytes]]:
    async def make() -> bytes:
        return content

    return make


async def never() -> bytes:
    raise AssertionError("it is at hand already")


def test_what_is_kept_is_not_made_again() -> None:
    async def ask() -> None:
        cache = SheetCache(100)
        assert cache.kept("a") is None
        assert await cache.content("a", made(b"sheet")) == b"sheet" == await cache.content("a", never) == cache.kept("a")

    asyncio.run(ask())


def test_those_not_asked_for_longest_are_forgotten_first() -> None:
    async def ask() -> None:
        cache = SheetCache(10)
        for key in ("a", "b"):
            await cache.content(key, made(b"12345"))
        await cache.content("a", never)
        await cache.content("c", made(b"12345"))
        assert [cache.kept(key) is not None for key in ("a", "b", "c")] == [True, False, True]
        assert await cache.content("large", made(b"x" * 11)) == b"x" * 11
        assert cache.kept("large") is None and cache.kept("c") is not None

    asyncio.run(ask())


def test_asking_for_what_is_kept_counts_as_use() -> None:
    async def ask() -> None:
        cache = SheetCache(10)
        for key in ("a", "b"):
            await cache.content(key, made(b"12345"))
        cache.kept("a")
        await cache.content("c", made(b"12345"))
        assert cache.kept("a") is not None and cache.kept("b") is None

    asyncio.run(ask())


class Slow:
    """Making that goes on when it is told to, and says how often it was begun and given up."""

    def __init__(self) -> None:
        self.begun, self.given_up, self.go_on = 0, 0, asyncio.Event()

    async def make(self) -> bytes:
        self.begun += 1
        try:
            await self.go_on.wait()
        except asyncio.CancelledError:
            self.given_up += 1
            raise
        return b"sheet"


def test_several_who_ask_at_once_share_one_making() -> None:
    async def ask() -> None:
        cache, slow = SheetCache(100), Slow()
        asking = [asyncio.create_task(cache.content("a", slow.make)) for _ in range(5)]
        await asyncio.sleep(0.01)
        asking[0].cancel()
        await asyncio.sleep(0.01)
        slow.go_on.set()
        assert await asyncio.gather(*asking[1:]) == [b"sheet"] * 4
        assert (slow.begun, slow.given_up) == (1, 0), "one who leaves spoils nothing for the others"

    asyncio.run(ask())


def test_what_nobody_waits_for_any_more_is_given_up() -> None:
    async def ask() -> None:
        cache, slow = SheetCache(100), Slow()
        asking = asyncio.create_task(cache.content("a", slow.make))
        await asyncio.sleep(0.01)
        asking.cancel()
        await asyncio.sleep(0.01)
        assert (slow.begun, slow.given_up) == (1, 1)
        assert await cache.content("a", made(b"sheet")) == b"sheet"

    asyncio.run(ask())


def test_what_goes_wrong_is_told_and_not_kept() -> None:
    async def fails() -> bytes:
        raise TimeoutError("too long")

    async def ask() -> None:
        cache = SheetCache(100)
        with pytest.raises(TimeoutError):
            await cache.content("a", fails)
        assert await cache.content("a", made(b"sheet")) == b"sheet"

    asyncio.run(ask())
