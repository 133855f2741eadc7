"""The line on a terminal while a plan is worked out: first a plan soon, then better ones, then the proof."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest

from service.command_line.printing.progress_line import ProgressLine, standing


def event(best: int | None, bound: int | None, alternatives: int = 1, **more: Any) -> dict[str, Any]:
    gap = None if best is None or bound is None else (best - bound) / best
    return {"elapsed_s": 1.0, "incumbent_cents": best, "bound_cents": bound, "gap": gap, "alternatives": alternatives, **more}


@pytest.mark.parametrize(
    ("newest", "says"),
    [
        ({}, "12 of 60 s, no plan yet"),
        (event(None, 500, 0, positions_tried=3, positions=81), "12 of 60 s, no plan yet, 3 of 81 positions tried"),
        (event(14142, None), "12 of 60 s, best 141.42 EUR"),
        (event(14142, 12700), "12 of 60 s, best 141.42 EUR, cheapest at least 127.00 EUR, gap 10.2 %"),
        (event(14142, 14142), "12 of 60 s, best 141.42 EUR, proved cheapest; 1 alternative so far"),
        (event(14142, 14142, 3), "12 of 60 s, best 141.42 EUR, proved cheapest; 3 alternatives so far"),
    ],
)
def test_every_stage_says_what_is_known(newest: dict[str, Any], says: str) -> None:
    assert standing(12.2, 60.0, newest, "EUR") == says


def test_before_the_time_counts_the_request_is_read() -> None:
    assert standing(0.4, None, {}, "EUR") == "0 s, reading"


class Terminal(io.StringIO):
    """A terminal of unknown width."""

    def isatty(self) -> bool:
        return True


def test_every_improvement_is_shown_in_the_one_line_and_none_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Terminal()
    monkeypatch.setattr("sys.stderr", screen)
    with ProgressLine("EUR") as line:
        line.hear({"pid": 1, "limit_s": 60.0, "warnings": ["odd"]})
        line.hear(event(1000, 500))
        line.hear(event(900, 500))
        line.hear(event(900, 900))
    shown = re.split(r"\r\x1b\[K", screen.getvalue())
    assert [re.sub(r"^\d+ of 60 s, ", "", part) for part in shown[1:]] == [
        "no plan yet",
        "best 10.00 EUR, cheapest at least 5.00 EUR, gap 50.0 %",
        "best 9.00 EUR, cheapest at least 5.00 EUR, gap 44.5 %",
        "best 9.00 EUR, proved cheapest; 1 alternative so far",
        "",
    ]
    assert "warning: odd\n" in screen.getvalue()
    assert all(len(part) < 80 for part in shown)


def test_elsewhere_only_warnings_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    with ProgressLine("EUR") as line:
        line.hear({"pid": 1, "limit_s": 60.0, "warnings": ["odd"]})
        line.hear(event(1000, 500))
    assert capsys.readouterr().err == "warning: odd\n"
