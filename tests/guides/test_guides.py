"""Every guide of DEVELOPERS.md is walked: a toy is added by touching the files the guide names and no others, and it works."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.guides import service_toys, solver_toys
from tests.guides.toy import Changed, Toy
from tests.guides.walk import PACKAGES

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TOYS = (*solver_toys.TOYS, *service_toys.TOYS)
QUICK = (solver_toys.CHECK, service_toys.FORMAT, service_toys.DEMO_JOB)
"""What is walked in a plain run."""
NUMBERS = ("no", "one", "two", "three", "four", "five")
MOST = {
    "How to add a constraint family": 5,
    "How to add a section shape": 4,
    "How to add an item kind": 3,
    "How to add an output format": 2,
    "How to add a route": 4,
}
"""What adding one may touch at most, documentation and tests not counted."""
PLACEHOLDER = re.compile(r"\b(NAME|TOPIC|SHAPE|DOCUMENT)\b")
ANY_FOLDER = "PACKAGE"


def guides() -> dict[str, tuple[str, list[str]]]:
    """Return of every guide the number of files it says, and the paths it names; capitals stand for a name."""
    found = {}
    for section in PAGE.split("\n## ")[1:]:
        title, _, text = section.partition("\n")
        if title.startswith("How to add"):
            touches = re.search(r"^Touches (\w+) files?: (.*?)\n\n", text, re.M | re.S)
            assert touches, f"{title}: say what it touches"
            found[title] = touches[1], re.findall(r"`([\w/.]+)`", touches[2])
    return found


GUIDES = guides()


def named(path: str, title: str) -> bool:
    """Whether a guide names a path."""
    patterns = (PLACEHOLDER.sub(r"[\\w-]+", re.escape(entry)).replace(ANY_FOLDER, r"[\w/-]+") for entry in GUIDES[title][1])
    return any(re.fullmatch(pattern, path) for pattern in patterns)


@pytest.fixture(scope="module")
def walker() -> Iterator[subprocess.Popen[str]]:
    """The process that runs toys; it never sees the packages as they are."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "tests.guides.walk"]
    with subprocess.Popen(
        command, cwd=ROOT, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        yield process


def walk(walker: subprocess.Popen[str], folder: Path, toy: Toy, edits: bool = True) -> tuple[int, str]:
    """Add a toy to a copy of the packages and run what shows that it works; return its exit code and what it wrote."""
    for package in PACKAGES:
        shutil.copytree(ROOT / package, folder / package)
    for edit in toy.edits if edits else ():
        edit.apply(folder)
    (folder / "shown_by.py").write_text(toy.shown_by, encoding="utf-8")
    assert walker.stdin is not None and walker.stdout is not None
    print(folder, file=walker.stdin, flush=True)
    return int(walker.stdout.readline()), (folder / "written.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("toy", QUICK, ids=lambda toy: toy.guide.removeprefix("How to add "))
def test_a_quick_toy_works_once_the_files_its_guide_names_are_touched(
    toy: Toy, tmp_path: Path, walker: subprocess.Popen[str]
) -> None:
    test_a_toy_works_once_the_files_its_guide_names_are_touched(toy, tmp_path, walker)


@pytest.mark.slow
@pytest.mark.parametrize("toy", [toy for toy in TOYS if toy not in QUICK], ids=lambda toy: toy.guide.removeprefix("How to add "))
def test_a_toy_works_once_the_files_its_guide_names_are_touched(toy: Toy, tmp_path: Path, walker: subprocess.Popen[str]) -> None:
    assert [edit.path for edit in toy.edits if not named(edit.path, toy.guide)] == [], "the guide does not name it"
    code, written = walk(walker, tmp_path, toy)
    assert code == 0, written


@pytest.mark.parametrize("toy", [solver_toys.CHECK, service_toys.FORMAT], ids=lambda toy: toy.guide.removeprefix("How to add "))
def test_without_its_files_a_toy_does_not_work(toy: Toy, tmp_path: Path, walker: subprocess.Popen[str]) -> None:
    code, written = walk(walker, tmp_path, toy, edits=False)
    assert code == 1 and "AssertionError" in written


def test_every_guide_is_walked_once() -> None:
    assert sorted(toy.guide for toy in TOYS) == sorted(GUIDES)


@pytest.mark.parametrize("title", GUIDES)
def test_a_guide_names_as_many_files_as_it_says(title: str) -> None:
    number, paths = GUIDES[title]
    assert number == NUMBERS[len(paths)]
    assert len(paths) <= MOST.get(title, 5)


@pytest.mark.parametrize("toy", TOYS, ids=lambda toy: toy.guide.removeprefix("How to add "))
def test_a_toy_touches_each_file_once(toy: Toy) -> None:
    paths = [edit.path for edit in toy.edits]
    assert len(set(paths)) == len(paths) <= len(GUIDES[toy.guide][1])


@pytest.mark.parametrize("title", GUIDES)
def test_what_a_guide_names_is_there(title: str) -> None:
    for path in GUIDES[title][1]:
        pattern = PLACEHOLDER.sub("*", path).replace(ANY_FOLDER, "**")
        assert list(ROOT.glob(pattern)), path


def test_words_that_are_not_there_are_not_replaced(tmp_path: Path) -> None:
    (tmp_path / "a.py").write_text("one two two")
    for words in (("three", "four"), ("two", "four")):
        with pytest.raises(AssertionError):
            Changed("a.py", (words,)).apply(tmp_path)
