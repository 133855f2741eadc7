"""How many pictures a second the view in space draws while it is turned, computed by the processor.

python -m tests.benchmarks space [JOB ...] [--busy N]: with so many other processes that never rest.
"""

from __future__ import annotations

import math
import multiprocessing
import os
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
    """How often and how finely it is drawn.

    Parameters
    ----------
    a_second : float
        Pictures a second.
    late_ms : float
        The time between two that only one in twenty exceeds, ms.
    cpu_ms : float
        What the processors spend on one, ms.
    dots : float
        How many dots are drawn to a CSS px: fewer than one where the machine is slow.
    """

    a_second: float
    late_ms: float
    cpu_ms: float
    dots: float


def report(job: str, busy: int) -> None:
    """Print how fast a kept plan is turned on a canvas of 800 x 600 CSS px."""
    with others(busy):
        found = frame_rate(job)
    print(
        f"{job:<14} {found.a_second:5.1f} frames/s   19 of 20 within {found.late_ms:.0f} ms   {found.cpu_ms:.0f} ms CPU a frame"
        f"   {found.dots:g} dots a px"
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
        _turn(page, 1.0)  # the first frames find out how fine it can be
        spent_s = -_cpu_s()
        times = _turn(page, TURNED_S)
        spent_s += _cpu_s()
        dots = page.locator("space-view").evaluate("view => view.stage.ratio")
    gaps = [after - before for before, after in pairwise(times)]
    return FrameRate(1000 * len(gaps) / (times[-1] - times[0]), quantiles(gaps, n=20)[-1], 1000 * spent_s / len(times), dots)


def _turn(page: Page, seconds: float) -> list[float]:
    """Turn the view a little before each frame that the browser would draw, and return when frames were drawn, ms.

    Not by the mouse: its moves come here through two more processes, whose pace would be measured too.
    """
    times: list[float] = page.evaluate(
        """(seconds) => new Promise((done) => {
          const view = document.querySelector("space-view");
          const drawn = [];
          let before = view.frames;
          const look = (now) => {
            if (view.frames !== before) drawn.push(now);
            before = view.frames;
            view.stage.turn(0.1, 0.02 * Math.sin(now / 500));
            if (drawn.length && now - drawn[0] > 1000 * seconds) done(drawn);
            else requestAnimationFrame(look);
          };
          requestAnimationFrame(look);
        })""",
        seconds,
    )
    return times


def _cpu_s() -> float:
    """Return what the processes of the browser this one has started have spent so far, s."""
    parents, spent = {}, {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):  # it has ended meanwhile
            name, _, rest = stat.read_text().rpartition(")")
            fields, process = rest.split(), int(stat.parent.name)
            parents[process] = int(fields[1])
            spent[process] = int(fields[11]) + int(fields[12]) if name.endswith("(chromium") else 0
    ours = {os.getpid()}
    while more := {process for process, parent in parents.items() if parent in ours} - ours:
        ours |= more
    return sum(spent.get(process, 0) for process in ours) / os.sysconf("SC_CLK_TCK")


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
