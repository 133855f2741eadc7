"""A browser that is missing is a skipped test on a developer's machine, and a failure where everything must pass."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.browser.chromium import INSTALLED, program


@pytest.fixture
def no_chromium(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: None)
    monkeypatch.delenv(INSTALLED, raising=False)


@pytest.mark.usefixtures("no_chromium")
def test_it_is_skipped_loudly_where_nobody_promised_a_browser() -> None:
    with pytest.raises(pytest.skip.Exception, match="CHROMIUM IS NOT INSTALLED"):
        program()


@pytest.mark.usefixtures("no_chromium")
def test_it_fails_with_what_the_installation_said_where_one_was_promised(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    told = tmp_path / "chromium"
    told.write_text("E: Unable to locate package chromium\n")
    monkeypatch.setenv(INSTALLED, str(told))
    with pytest.raises(AssertionError, match=r"could not be installed(.|\n)*Unable to locate package"):
        program()


def test_ci_promises_one() -> None:
    run = (Path(__file__).parents[2] / ".ci" / "run").read_text(encoding="utf-8")
    assert f"{INSTALLED}=" in run and "install chromium" in run
