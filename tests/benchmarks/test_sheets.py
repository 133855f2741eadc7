"""The benchmark of drawing runs and names every format."""

from __future__ import annotations

import pytest

from service.drawings.sheets.wanted_format import offered
from tests.benchmarks.sheets import report


def test_it_prints_a_figure_for_every_format(capsys: pytest.CaptureFixture[str]) -> None:
    report("tee")
    words = capsys.readouterr().out.split()
    assert words[:5] == ["tee", "2", "parts", "6", "pieces"]
    assert words[5::2] == list(offered()) and all(float(seconds) >= 0 for seconds in words[6::2])
