"""Every long suite is reached by one word of `.ci/slow`, which lists it, and has a short one of its kind in a plain run."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path

import pytest

from tests.documents.pages import ROOT

SLOW = ROOT / ".ci" / "slow"
SUITES = {
    word: [ROOT / path for path in paths.split()]
    for word, paths in re.findall(r"^    (\w+)\) suites=\(([^)]+)\) ;;$", SLOW.read_text(), re.M)
    if word != "all"
}


def marked(path: Path) -> dict[Path, list[bool]]:
    """Return the files under a path that have tests, and of each test whether it, or some of its cases, is marked as slow."""
    files = [path] if path.suffix == ".py" else sorted(path.rglob("test_*.py"))
    found = {}
    for file in files:
        body = ast.parse(file.read_text()).body
        named = {ast.unparse(entry.targets[0]): ast.unparse(entry.value) for entry in body if isinstance(entry, ast.Assign)}
        tests = [entry for entry in body if isinstance(entry, ast.FunctionDef) and entry.name.startswith("test_")]
        marks = [[ast.unparse(mark) for mark in test.decorator_list] for test in tests]
        found[file] = [any("mark.slow" in named.get(mark, mark) for mark in each) for each in marks]
    return found


@pytest.mark.parametrize("file", [file for file, slow in marked(ROOT / "tests").items() if any(slow)], ids=lambda file: file.name)
def test_every_slow_test_is_reached_by_one_word(file: Path) -> None:
    assert len([word for word, paths in SUITES.items() if any(file.is_relative_to(path) for path in paths)]) == 1


@pytest.mark.parametrize("word", SUITES)
def test_every_long_suite_is_real_and_has_a_short_one(word: str) -> None:
    for path in SUITES[word]:
        slow = [entry for entries in marked(path).values() for entry in entries]
        assert any(slow) and not all(slow)


@pytest.mark.parametrize("words", [[], ["nonsense"]], ids=["no word", "an unknown word"])
def test_without_a_word_it_says_what_there_is(words: list[str]) -> None:
    done = subprocess.run([SLOW, *words], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert set(re.findall(r"^  (\w+) ", done.stderr, re.M)) == {*SUITES, "all", "million", "statics"}
