"""Ledgers on disk: the same plan whatever has become of them, and never more of them than asked for."""

from __future__ import annotations

import json
import multiprocessing
import os
import stat
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from service.documents import plan_document
from service.planning_jobs import ledger_files
from service.planning_jobs.ledger_files import LedgerFiles, user_cache_folder
from service.settings import Settings
from solver.deadline import Deadline
from solver.ledgers.answers import Arrays
from solver.ledgers.kept import forget_all, take_from
from solver.planning import plan
from tests import builders as b

NAME = "records-seats-0123"
ARRAYS: Arrays = {
    "names": np.arange(16, dtype=np.uint8).reshape(1, 16),
    "ends": np.array([2]),
    "content": np.array([7, 8], np.uint8),
}


@pytest.fixture(autouse=True)
def nothing_kept() -> Iterator[None]:
    forget_all()
    yield
    forget_all()
    take_from(None)


@pytest.fixture
def files(tmp_path: Path) -> LedgerFiles:
    return LedgerFiles(tmp_path / "cache", 10_000_000)


def planned(files: LedgerFiles | None = None) -> str:
    """Return the plan of a small job as text, solve time aside, as a process makes it that has kept nothing."""
    forget_all()
    take_from(None)
    question = b.request(b.weldment(b.bar(length=240)), alternatives=1), b.plain_shelf()
    if files is None:
        found = plan(*question, deadline=Deadline(lambda: 1000.0))
    else:
        with files.used():
            found = plan(*question, deadline=Deadline(lambda: 1000.0))
    document = plan_document(found)
    assert document["alternatives"]
    return json.dumps({**document, "solve_s": 0})


def left(files: LedgerFiles) -> list[Path]:
    return sorted(files.place.glob("*"))


def test_a_table_is_read_as_it_was_written(files: LedgerFiles) -> None:
    assert files.read(NAME) is None
    files.write(NAME, ARRAYS)
    found = files.read(NAME)
    assert found is not None and all((found[key] == ARRAYS[key]).all() for key in ARRAYS) and set(found) == set(ARRAYS)


def test_a_table_under_another_name_is_not_read(files: LedgerFiles) -> None:
    files.write(NAME, ARRAYS)
    (files.place / f"{NAME}.npz").rename(files.place / f"{NAME}4.npz")
    assert files.read(f"{NAME}4") is None


def test_no_byte_of_a_file_may_change(files: LedgerFiles) -> None:
    """Either the ledger is read as it was written - zip files have bytes that say nothing - or it is not read."""
    files.write(NAME, ARRAYS)
    path = files.place / f"{NAME}.npz"
    sound = path.read_bytes()
    for place in range(0, len(sound), 3):
        path.write_bytes(sound[:place] + bytes([sound[place] ^ 0xFF]) + sound[place + 1 :])
        found = files.read(NAME)
        assert found is None or all((found[key] == ARRAYS[key]).all() for key in ARRAYS), place
    for end in range(0, len(sound), 50):
        path.write_bytes(sound[:end])
        assert files.read(NAME) is None


def test_what_would_have_to_be_executed_is_not_read(files: LedgerFiles) -> None:
    class Trap:
        def __reduce__(self) -> tuple[object, ...]:
            return (pytest.fail, ("a file was executed",))

    files.place.mkdir(parents=True)
    with (files.place / f"{NAME}.npz").open("wb") as file:
        np.savez(file, names=np.array([Trap()], dtype=object))
    assert files.read(NAME) is None


def test_the_plan_is_the_same_with_an_empty_a_full_and_no_cache(files: LedgerFiles) -> None:
    first = planned()
    assert planned(files) == first and left(files)
    assert planned(files) == first


def test_a_second_plan_screens_nothing(files: LedgerFiles, monkeypatch: pytest.MonkeyPatch) -> None:
    first = planned(files)
    monkeypatch.setattr("solver.hardware.screening._verdicts", None)
    monkeypatch.setattr("solver.position.torch_screen._shutting_alone", None)
    monkeypatch.setattr("solver.geometry.offsets.near", None)
    monkeypatch.setattr("solver.position.seatings._worth_asking", None)
    assert planned(files) == first
    with pytest.raises(TypeError):
        planned()


def test_corrupt_and_foreign_files_are_ignored_and_written_anew(files: LedgerFiles) -> None:
    first = planned(files)
    sizes = {path: path.stat().st_size for path in left(files)}
    for number, path in enumerate(sizes):
        path.write_bytes((b"", b"not a ledger", path.read_bytes()[:-40])[number % 3])
    assert planned(files) == first
    assert {path: path.stat().st_size for path in left(files)} == sizes


def test_a_folder_that_cannot_be_made_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert planned(LedgerFiles(tmp_path / "file" / "cache", 1_000_000)) == planned()


def test_a_folder_that_cannot_be_written_is_read(files: LedgerFiles, monkeypatch: pytest.MonkeyPatch) -> None:
    first = planned(files)
    (gone, *kept) = left(files)
    gone.unlink()

    def refuse(path: Path, content: bytes) -> None:
        raise PermissionError(13, "read-only")

    def no_space(*_: object, **__: object) -> None:
        raise OSError(28, "no space left on device")

    monkeypatch.setattr(ledger_files, "write_bytes", refuse)
    monkeypatch.setattr(os, "utime", no_space)
    assert planned(files) == first and left(files) == kept


def test_only_the_user_may_look_into_the_folder(files: LedgerFiles) -> None:
    planned(files)
    assert not stat.S_IMODE(files.place.stat().st_mode) & 0o077


def test_a_solve_that_fails_leaves_no_ledgers(files: LedgerFiles) -> None:
    with pytest.raises(ZeroDivisionError), files.used():
        raise ZeroDivisionError
    assert not files.folder.exists()


def test_the_files_used_longest_ago_are_removed(tmp_path: Path) -> None:
    files = LedgerFiles(tmp_path, 3000)
    for age, name in enumerate(("newest", "old", "older", "oldest")):
        files.write(name, ARRAYS)
        os.utime(files.place / f"{name}.npz", (1e9 - age, 1e9 - age))
    stranger = tmp_path / "mine.txt"
    stranger.write_text("x" * 9000)
    assert files.read("oldest") is not None  # used again, so the newest now
    files.remove_oldest()
    names = [path.stem for path in left(files)]
    assert "oldest" in names and "older" not in names and sum(path.stat().st_size for path in left(files)) <= 3000
    assert stranger.exists()


def test_files_of_another_program_go_first_where_they_are_older(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = LedgerFiles(tmp_path, 1)
    monkeypatch.setattr(ledger_files, "program", lambda: "before")
    files.write(NAME, ARRAYS)
    before = files.place
    monkeypatch.setattr(ledger_files, "program", lambda: "since")
    assert files.read(NAME) is None
    files.remove_oldest()
    assert not before.exists() and (tmp_path / "ledgers").exists()


def test_what_it_is_computed_by_names_the_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    ledger_files.program.cache_clear()
    here = ledger_files.program()
    for place, other in (("solver.geometry.proximity.COMPUTED_WITH", "another"), ("platform.machine", lambda: "another")):
        with monkeypatch.context() as patch:
            patch.setattr(place, other)
            ledger_files.program.cache_clear()
            assert ledger_files.program() != here
    ledger_files.program.cache_clear()
    assert ledger_files.program() == here


def _plans(folder: Path, rounds: int, answers: multiprocessing.Queue[str]) -> None:
    for _ in range(rounds):
        answers.put(planned(LedgerFiles(folder, 10_000_000)))


def test_two_processes_write_at_once(files: LedgerFiles) -> None:
    context = multiprocessing.get_context("spawn")
    answers: multiprocessing.Queue[str] = context.Queue()
    workers = [context.Process(target=_plans, args=(files.folder, 1, answers)) for _ in range(2)]
    for worker in workers:
        worker.start()
    found = {answers.get(timeout=120) for _ in range(2)}
    for worker in workers:
        worker.join()
    assert found == {planned()} == {planned(files)}
    assert all(path.suffix == ".npz" for path in left(files))


def test_where_programs_keep_what_may_be_deleted(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Source: XDG Base Directory Specification 0.8 (`$XDG_CACHE_HOME`, else `~/.cache`); the platforms' own guides."""
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    assert user_cache_folder() == tmp_path / ".cache" / "holdwright"
    monkeypatch.setenv("XDG_CACHE_HOME", "/elsewhere")
    assert user_cache_folder() == Path("/elsewhere/holdwright")
    monkeypatch.setattr(sys, "platform", "darwin")
    assert user_cache_folder() == tmp_path / "Library" / "Caches" / "holdwright"
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    assert user_cache_folder() == tmp_path / "AppData" / "Local" / "holdwright" / "Cache"


def test_settings_say_where_and_how_much(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert LedgerFiles.of(Settings(cache=str(tmp_path), cache_mb=3)) == LedgerFiles(tmp_path, 3_000_000)
    assert LedgerFiles.of(Settings(cache=str(tmp_path), cache_mb=0)) is None

    def nobody() -> Path:
        raise RuntimeError("no home")

    monkeypatch.setattr(Path, "home", nobody)
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    assert LedgerFiles.of(Settings()) is None
