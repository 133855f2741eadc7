"""The layout that lets a stranger find every room: short files, folders that can be surveyed, one name for one thing."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGES = ("inventory", "solver", "service")
LONGEST = 400
FULLEST = 12

FULL_FOLDERS = {
    "inventory/store": "the only folder that speaks SQL: a file for each question put to the database",
    "service/command_line": "a file for each command",
    "service/planning_jobs": "a file for each way of running a job, and for what it leaves",
    "service/records": "the only folder of the service that speaks SQL: a file for each table, and for who looks at it",
    "solver/checks/rules": "a file for each check",
    "solver/geometry": "a file for each question put to bodies and faces",
    "solver/model": "the program, who solves it and what bounds it: a file each",
    "solver/rule_book": "a file for each topic of the rules",
}
"""Folders of more than `FULLEST` modules, and why."""

SAME_NAME_IN_CHECKS = {
    "Face": "a part's face, found a second time",
    "Pad": "a piece's pad, placed a second time",
    "Row": "a row of the locator matrix here, a row of the integer model there",
    "Scene": "a plan set up in space here, a drawing's there",
    "Wedge": "a weld's open wedge, judged a second time",
}
"""Classes of the checker that share a name with one elsewhere: it computes the same things and may import none of them."""

OLD_WORDS = {
    "assembly", "bench", "clerk", "clerks", "ground", "moved", "pose", "poses", "pressed", "pulling", "spool", "stand",
    "stands", "survey", "told",
}  # fmt: skip
"""No module is called by these: they were used for several things, or say nothing to a colleague in the trade."""


@cache
def modules() -> dict[str, Path]:
    """Return every module of the packages by its dotted name, in order."""
    paths = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
    return {".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path for path in paths}


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def folder(path: Path) -> str:
    return path.parent.relative_to(ROOT).as_posix()


def imported(name: str, known: dict[str, Path]) -> Iterator[str]:
    """Yield the modules of the packages that a module imports anywhere: at its top, in functions, for type checking only."""
    for node in ast.walk(tree(known[name])):
        if isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield from (full if (full := f"{node.module}.{alias.name}") in known else node.module for alias in node.names)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


def circle(arrows: dict[str, set[str]]) -> list[str]:
    """Return modules that import each other in a circle, none if there is none."""
    try:
        list(TopologicalSorter(arrows).static_order())
    except CycleError as found:
        return list(found.args[1])
    return []


def test_no_file_is_longer_than_400_lines() -> None:
    lines = {name: len(path.read_text(encoding="utf-8").splitlines()) for name, path in modules().items()}
    assert {name: count for name, count in lines.items() if count > LONGEST} == {}


def test_no_folder_holds_more_than_12_modules() -> None:
    count: dict[str, int] = defaultdict(int)
    for path in modules().values():
        count[folder(path)] += path.name != "__init__.py"
    assert {name for name, many in count.items() if many > FULLEST} == set(FULL_FOLDERS)


def test_no_modules_import_each_other_in_a_circle() -> None:
    known = modules()
    assert circle({name: {other for other in imported(name, known) if other in known and other != name} for name in known}) == []


def test_a_circle_is_noticed() -> None:
    assert set(circle({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}})) == {"a", "b", "c"}
    assert circle({"a": {"b", "c"}, "b": {"c"}}) == []


def test_no_relative_imports() -> None:
    relative = [name for name, path in modules().items() for node in ast.walk(tree(path)) if getattr(node, "level", 0)]
    assert relative == []


def test_public_class_names_are_unique() -> None:
    homes: dict[str, set[str]] = defaultdict(set)
    for name, path in modules().items():
        for node in tree(path).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                homes[node.name].add(name)
    shared = {name: places for name, places in homes.items() if len(places) > 1}
    of_checks = {name for name, places in shared.items() if any(place.startswith("solver.checks.") for place in places)}
    assert of_checks == set(SAME_NAME_IN_CHECKS)
    assert all(sum(not place.startswith("solver.checks.") for place in shared[name]) == 1 for name in of_checks)
    assert set(shared) == of_checks


def test_nothing_is_looked_up_by_id() -> None:
    users = {
        path.relative_to(ROOT).as_posix()
        for path in modules().values()
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "id"
    }
    assert users == set()


def test_every_module_says_what_it_is() -> None:
    said = {name: (ast.get_docstring(tree(path)) or "").split("\n\n")[0].rstrip() for name, path in modules().items()}
    assert {name: words for name, words in said.items() if not words.endswith((".", "?", "::", ":"))} == {}


def test_no_module_is_called_by_an_old_word() -> None:
    assert [name for name in modules() if OLD_WORDS & set(name.split(".")[-1].split("_")) and "migrations" not in name] == []
