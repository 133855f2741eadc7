"""Two checkouts side by side, on the tab on a tube: both this one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from service.documents import request_document, stock_document
from tests import builders as b
from tests.benchmarks import compare, planning_run
from tests.benchmarks.compare import ROOT, Figures


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every job be the tab on a tube, planned from a modest shelf."""
    asked = json.dumps(request_document(b.request(b.tab_on_tube()))).encode()
    shelf = json.dumps(stock_document(b.plain_shelf())).encode()
    monkeypatch.setattr(compare, "document_of", lambda name: asked)
    monkeypatch.setattr(compare, "shop_document", lambda: shelf)


@pytest.mark.slow
@pytest.mark.usefixtures("small")
def test_a_checkout_beside_itself_finds_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    compare.report(ROOT, ["tab"], limit=60.0)
    head, titles, *rows = capsys.readouterr().out.splitlines()
    assert head.startswith("old ") and titles.split() == ["job", "what", "old", "new", "ratio"]
    assert [row[17:39].strip() for row in rows] == [
        "first plan, s",
        "end, s",
        "one piece missing, s",
        "price, cents",
        "gap",
        "status",
    ]
    price, status = rows[3].split(), rows[5].split()
    assert price[-3] == price[-2] and price[-1] == "1.00" and status[1] == status[2]


@pytest.mark.usefixtures("small")
def test_a_checkout_that_cannot_plan_says_why(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "solver.py").write_text("raise RuntimeError('an old planner')")
    compare.report(tmp_path, ["tab"], limit=0.0)
    assert "RuntimeError: an old planner" in capsys.readouterr().out.splitlines()[-1]


def test_another_planner_than_the_one_asked_for_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answered = tmp_path / "answered.py"
    answered.write_text('print(\'{"solver": "/elsewhere/solver"}\')')
    monkeypatch.setattr(planning_run, "__file__", str(answered))
    with pytest.raises(RuntimeError, match="ran /elsewhere/solver"):
        compare.measured(tmp_path, compare.Documents(tmp_path, tmp_path, 1.0), several=False)


def test_rounds_begin_by_turns_and_medians_are_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """Old takes 1, 2, 9 s, median 2; new 4, 5, 6 s, median 5."""
    old, new = Path("/old"), Path("/new")
    asked: list[Path] = []
    times = {old: iter([1.0, 2.0, 9.0]), new: iter([4.0, 5.0, 6.0])}

    def measured(folder: Path, documents: compare.Documents, several: bool) -> Figures:
        asked.append(folder)
        return Figures(end_s=next(times[folder]), cents=100, status="optimal")

    monkeypatch.setattr(compare, "measured", measured)
    one, other = compare.compared((old, new), b"", b"", 3, 1.0, False)
    assert asked == [old, new, new, old, old, new]
    assert one == Figures(end_s=2.0, cents=100, status="optimal") and other.end_s == 5.0
    assert [line.split()[-3:] for line in compare.lines("job", one, other)][:2] == [
        ["2.00", "5.00", "2.50"],
        ["100", "100", "1.00"],
    ]
