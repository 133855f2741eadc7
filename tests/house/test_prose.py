"""What is written - pages, docstrings, comments - speaks of the program as it is, in plain words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(DOCS.glob("*.md"))]
SOURCES = [path for package in ("inventory", "service", "solver", "tests") for path in sorted((ROOT / package).rglob("*.py"))]
HERE = Path(__file__)

OLD = {
    "poses": "lattice positions; only parts have a pose",
    "desks?": "the module's name",
    "clerks?": "the module's name",
    "spool(ed|s)?": "job folder",
    "(?<!repair )\\bbench": "what it is",
    "stands of": "stacks of",
    "top of a stand": "top of a stack",
    "solver/candidates|solver\\.candidates": "solver/hardware",
    "solver\\.plan\\b(?! import)|solver/plan\\.py": "solver.plans",
    "service/schemas|service\\.schemas": "service/documents",
    "the contract|contract's": "the page or document that readers have",
    "nobody came": "not collected in time",
    "breaks its contract": "is not valid",
    "let go of": "released, expired, free again",
    "promises no longer add up": "too few pieces for what is promised",
    "from memory": "the source, or: source not checked",
}
"""Words of an older layout, of documents that readers do not have, or that say less than they seem to; and what to write instead."""
ALLOWED = {"tests/house/test_house.py", "tests/house/test_prose.py"}


def found(text: str) -> list[str]:
    """Return the old words in a text."""
    return [old for old in OLD if re.search(rf"\b({old})\b" if old[0] != "(" else rf"{old}\b", text)]


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_no_page_speaks_old_words(path: Path) -> None:
    """The page of changes may name what has another name now, as code."""
    text = path.read_text(encoding="utf-8")
    assert found(re.sub(r"`[^`\n]*`", "", text) if path.name == "changes.md" else text) == []


def test_no_module_speaks_old_words() -> None:
    spoken = {path.relative_to(ROOT).as_posix(): found(path.read_text(encoding="utf-8")) for path in SOURCES}
    assert {name: words for name, words in spoken.items() if words and name not in ALLOWED} == {}


def test_old_words_are_noticed() -> None:
    assert found("twelve poses on the bench") == ["poses", "(?<!repair )\\bbench"]
    assert found("on the repair bench, purposes of a workbench") == []


def test_every_page_is_linked_from_the_index() -> None:
    index = (DOCS / "index.md").read_text(encoding="utf-8")
    linked = set(re.findall(r"\]\((\w[\w-]*\.md)\)", index))
    assert {page.name for page in DOCS.glob("*.md")} - {"index.md"} == linked


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_modules_named_on_a_page_exist(path: Path) -> None:
    text = re.sub(r"^```.*?^```$", "", path.read_text(encoding="utf-8"), flags=re.M | re.S)
    modules = re.findall(r"`((?:inventory|solver|service)\.[a-z_.]+)`", text)
    assert [name for name in modules if not is_module_or_part_of_one(name)] == []


def is_module_or_part_of_one(name: str) -> bool:
    """Whether a dotted name is a module, or begins with one and names a function of it."""
    at = ROOT / name.replace(".", "/")
    return (
        at.with_suffix(".py").exists() or at.is_dir() or (at.parent.with_suffix(".py").exists() and at.parent.name != "inventory")
    )


def rows(page: str) -> list[list[str]]:
    """Return the rows of every table of a page whose last column is a day and a commit."""
    found, dated = [], False
    for line in page.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split(" | ")] if line.startswith("|") else []
        if cells and cells[-1].strip(" |") == "day, commit":
            dated = True
        elif not cells:
            dated = False
        elif dated and not cells[0].startswith("---"):
            found.append(cells)
    return found


def test_every_measured_row_has_its_day_and_its_commit() -> None:
    measured = rows((DOCS / "guarantees.md").read_text(encoding="utf-8"))
    assert len(measured) > 20
    dated = re.compile(r"\d{4}-\d\d-\d\d, [0-9a-f]{7}|^the same$")
    assert [cells[0] for cells in measured if not dated.search(cells[-1].strip(" |"))] == []


def test_the_machine_is_named_where_figures_are() -> None:
    for name in ("guarantees.md", "model-held.md"):
        assert re.search(r"2 shared cores, 24 GB|Two shared cores, 24 GB", (DOCS / name).read_text(encoding="utf-8"))
