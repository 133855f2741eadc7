"""PostgreSQL that is missing is a skipped test on a developer's machine, and a failure where everything must pass."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests import databases


@pytest.fixture
def no_postgresql(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: None)
    monkeypatch.setattr(Path, "glob", lambda path, pattern: iter(()))
    monkeypatch.delenv(databases.INSTALLED, raising=False)


@pytest.mark.usefixtures("no_postgresql")
def test_it_fails_with_what_the_installation_said_where_one_was_promised(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    look = databases.postgresql_programs.__wrapped__
    assert look() is None
    told = tmp_path / "postgresql"
    told.write_text("E: Unable to locate package postgresql\n")
    monkeypatch.setenv(databases.INSTALLED, str(told))
    with pytest.raises(AssertionError, match=r"could not be installed(.|\n)*Unable to locate package"):
        look()


def test_ci_promises_one() -> None:
    run = (Path(__file__).parents[1] / ".ci" / "run").read_text(encoding="utf-8")
    assert f"{databases.INSTALLED}=" in run and "install postgresql" in run
