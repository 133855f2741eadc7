"""How many pictures a second the view in space draws while it is turned by the mouse, computed by the processor.

python -m tests.benchmarks space [JOB ...] [--busy N]: with so many other processes that never rest.
"""

from __future__ import annotations

import math
import multiprocessing
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from statistics import quantiles

from playwright.sync_api import Page

from tests.browser.chromium import chromium
from tests.browser.made_pages import NOWHERE, answer_static, show_space_view

JOBS = ("hinge-lug", "frame-8", "frame-20")
WIDTH, HEIGHT = 800, 600
TURNED_S = 5.0


@dataclass(frozen=True)
class FrameRate:
    """Pictures a second, the time between two that only one in twenty exceeds, and what the processors spend on one, both ms."""

    a_second: float
    late_ms: float
    cpu_ms: float


def report(job: str, busy: int) -> None:
    """Print how fast a kept plan is turned on a canvas of 800 x 600 CSS px."""
    with others(busy):
        found = frame_rate(job)
    print(
        f"{job:<14} {found.a_second:5.1f} frames/s   19 of 20 within {found.late_ms:.0f} ms   {found.cpu_ms:.0f} ms CPU a frame"
        f"   {busy} other busy processes"
    )


def frame_rate(job: str) -> FrameRate:
    """Turn a kept plan for five seconds."""
    with chromium() as browser:
        page = browser.new_page(viewport={"width": WIDTH + 48, "height": 1000}, base_url=NOWHERE)
        answer_static(page)
        show_space_view(page, job)
        box = page.locator("space-view canvas").bounding_box()
        assert box is not None and (round(box["width"]), round(box["height"])) == (WIDTH, HEIGHT)
        _turn(page, box["x"] + WIDTH / 2, box["y"] + HEIGHT / 2, 1.0)  # the first frames find out how fine it can be
        spent_s = -_cpu_s()
        times = _turn(page, box["x"] + WIDTH / 2, box["y"] + HEIGHT / 2, TURNED_S)
        spent_s += _cpu_s()
    gaps = [after - before for before, after in pairwise(times)]
    return FrameRate(1000 * len(gaps) / (times[-1] - times[0]), quantiles(gaps, n=20)[-1], 1000 * spent_s / len(times))


def _turn(page: Page, x: float, y: float, seconds: float) -> list[float]:
    """Turn the view by the mouse, and return when frames were drawn, ms."""
    page.evaluate(
        """() => {
          const view = document.querySelector("space-view");
          window.drawn = [];
          let before = view.frames;
          const look = (now) => {
            if (view.frames !== before) window.drawn.push(now);
            before = view.frames;
            window.looking = requestAnimationFrame(look);
          };
          window.looking = requestAnimationFrame(look);
        }"""
    )
    page.mouse.move(x, y)
    page.mouse.down()
    began = time.monotonic()
    while (gone := time.monotonic() - began) < seconds:
        page.mouse.move(x + 200 * math.sin(2 * gone), y + 60 * math.sin(gone))
    page.mouse.up()
    times: list[float] = page.evaluate("() => { cancelAnimationFrame(window.looking); return window.drawn; }")
    return times


def _cpu_s() -> float:
    """Return what this process's children, theirs and so on have spent so far, s."""
    parents, spent = {}, {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):  # it has ended meanwhile
            fields = stat.read_text().rpartition(")")[2].split()
            parents[int(stat.parent.name)], spent[int(stat.parent.name)] = int(fields[1]), int(fields[11]) + int(fields[12])
    ours = {os.getpid()}
    while more := {process for process, parent in parents.items() if parent in ours} - ours:
        ours |= more
    return sum(spent.get(process, 0) for process in ours - {os.getpid()}) / os.sysconf("SC_CLK_TCK")


@contextmanager
def others(count: int) -> Iterator[None]:
    """Have so many other processes compute without rest."""
    processes = [multiprocessing.get_context("spawn").Process(target=_never_rest, daemon=True) for _ in range(count)]
    for process in processes:
        process.start()
    try:
        yield
    finally:
        for process in processes:
            process.terminate()
            process.join()


def _never_rest() -> None:
    while True:
        math.sqrt(2.0)
