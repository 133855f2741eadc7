"""Every word of the glossary is there once, and what it names exists."""

from __future__ import annotations

import importlib
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
_ROW = re.compile(r"^\| (?P<word>[^|]+) \| (?P<meaning>[^|]+) \| `(?P<home>[\w.]+)` \|$", re.M)
PAGE = (ROOT / "docs" / "words.md").read_text(encoding="utf-8")
ROWS = [(row["word"], row["meaning"], row["home"]) for row in _ROW.finditer(PAGE)]


def found(home: str) -> Any:
    """Return the module, class, function or field that a dotted name stands for; raises AttributeError if there is none."""
    names = home.split(".")
    module = None
    for count in range(1, len(names) + 1):
        try:
            module, rest = importlib.import_module(".".join(names[:count])), names[count:]
        except ModuleNotFoundError:
            break
    assert module is not None, home
    at: Any = module
    for name in rest:
        at = at.__dataclass_fields__[name] if name in getattr(at, "__dataclass_fields__", ()) else getattr(at, name)
    return at


@pytest.mark.parametrize(("word", "meaning", "home"), ROWS, ids=[word for word, _, _ in ROWS])
def test_a_word_has_one_sentence_and_a_home_that_exists(word: str, meaning: str, home: str) -> None:
    assert meaning[0].isupper() and meaning.endswith("."), meaning
    found(home)


def test_a_home_that_does_not_exist_is_noticed() -> None:
    with pytest.raises(AttributeError):
        found("solver.hardware.stacks.Stand")
    assert found("solver.hardware.stacks.Stack").__name__ == "Stack"


def test_every_row_is_a_word_and_no_word_stands_twice() -> None:
    rows = [line for line in PAGE.splitlines() if line.startswith("| ") and not line.startswith(("| word", "| ---"))]
    assert len(rows) == len(ROWS) > 60
    assert [word for word, count in Counter(word for word, _, _ in ROWS).items() if count > 1] == []


def test_words_are_sorted_within_their_table() -> None:
    for table in PAGE.split("\n## ")[1:]:
        words = [row["word"] for row in _ROW.finditer(table)]
        assert words == sorted(words)


def test_the_glossary_is_linked_from_the_index() -> None:
    assert "](words.md)" in (ROOT / "docs" / "index.md").read_text(encoding="utf-8")


FRONT = (
    "inventory.availability", "inventory.items", "inventory.reservations", "inventory.shapes", "inventory.stock", "inventory.tables",
    "service.drawings.formats", "service.records.job", "solver.answer.chosen_fixture", "solver.deadline",
    "solver.hardware.candidates", "solver.hardware.stacks", "solver.laying.laid_weldment", "solver.laying.lies",
    "solver.model.choice", "solver.model.position_model", "solver.model.program", "solver.plans", "solver.position.problem",
    "solver.position.seats", "solver.progress", "solver.request", "solver.rule_book.book", "solver.rule_book.record",
    "solver.search.lattice_position", "solver.search.orientation", "solver.sections.profiles", "solver.sections.section",
    "solver.weldment",
)  # fmt: skip
"""Modules whose classes a reader meets first: the question, the shelf, what the search takes up, the answer."""


def first_classes() -> Iterator[str]:
    for name in FRONT:
        module = importlib.import_module(name)
        yield from (
            each for each, value in vars(module).items()
            if isinstance(value, type) and value.__module__ == name and not each.startswith("_")
        )  # fmt: skip


def test_every_class_that_a_reader_meets_first_has_its_word() -> None:
    named = {part for _, _, home in ROWS for part in home.split(".")}
    assert [name for name in first_classes() if name not in named] == []
