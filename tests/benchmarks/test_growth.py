"""How time grows: the exponent, and one series run on the tab on a tube."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests import builders as b
from tests.benchmarks import growth
from tests.benchmarks.growth import Grown, exponent, grown, line


def test_a_series_is_a_line_a_size_and_its_exponents(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    asked, shelf = b.request(b.tab_on_tube()), b.plain_shelf()
    more = replace(shelf, tables={"T1": b.table(columns=34)})
    monkeypatch.setitem(growth.SERIES, "holes-larger-table", lambda: iter([(1, asked, shelf), (2, asked, more)]))
    growth.report("holes-larger-table", 60.0)
    title, one, other, fitted = (row.split() for row in capsys.readouterr().out.splitlines())
    assert title[0] == "holes-larger-table" and [one[0], other[0]] == ["1", "2"]
    assert 0 < float(one[1]) <= float(one[2]) and one[3:] == other[3:]
    assert fitted == ["exponent", "none", "none"]


def test_a_job_over_its_limit_has_no_end() -> None:
    entry = grown(1, b.request(b.tab_on_tube()), b.plain_shelf(), 0.0)
    assert (entry.first_s, entry.end_s, entry.cents, entry.status) == (None, None, None, "unknown")
    assert line(entry, 10.0).split() == ["1", "none", ">10", str(entry.positions), "none", "unknown"]


def test_an_exponent_is_the_slope_of_the_logarithms() -> None:
    """3 n^2 exactly; sizes without a time are left out, and two points fit any exponent."""
    assert exponent([(1, 3.0), (2, 12.0), (3, None), (4, 48.0)]) == pytest.approx(2.0)
    assert exponent([(1, 3.0), (2, 12.0), (3, None)]) is None
    assert line(Grown(4, 1.0, 2.0, 30, 500, "optimal"), 60.0).split() == ["4", "1.00", "2.00", "30", "500", "optimal"]
