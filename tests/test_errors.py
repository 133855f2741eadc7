"""The errors raised on purpose: one tree, drawn whole."""

from __future__ import annotations

import ast
import builtins
import inspect
import re
from collections.abc import Iterator
from pathlib import Path

import inventory.errors
from inventory.errors import HoldwrightError

ROOT = HoldwrightError.__name__
ROOT_FOLDER = Path(__file__).parents[1]
PACKAGES = ("inventory", "solver", "service")


def defined() -> Iterator[tuple[str, str, str]]:
    """Yield each class of our packages with what it is made from first, and its module; the migrations have none."""
    for package in PACKAGES:
        for path in (ROOT_FOLDER / package).rglob("*.py"):
            module = ".".join(path.relative_to(ROOT_FOLDER).with_suffix("").parts).removesuffix(".__init__")
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ClassDef) and node.bases:
                    yield node.name, ast.unparse(node.bases[0]).rpartition(".")[2], module


def raised_classes() -> dict[str, tuple[str, str]]:
    """Return what every exception class of our packages is made from first, and its module."""
    made = list(defined())
    found: dict[str, tuple[str, str]] = {}
    exceptions = {name for name, value in vars(builtins).items() if inspect.isclass(value) and issubclass(value, BaseException)}
    while more := {name: (base, module) for name, base, module in made if name not in found and base in exceptions | set(found)}:
        found |= more
    return found


def drawn() -> dict[str, tuple[str, str]]:
    """Return the parent and the module of every class in the drawing; a branch is defined where its root is if the root says so."""
    text = inspect.getdoc(inventory.errors) or ""
    tree: dict[str, tuple[str, str]] = {}
    above: list[tuple[str, str]] = [(ROOT, inventory.errors.__name__)]
    for line in text[text.index(f"\n{ROOT}\n") :].splitlines()[2:]:
        found = re.fullmatch(r"((?:│   |    )*)(?:├── |└── )(\w+)\s+(.*)", line)
        assert found, line
        above = above[: len(found[1]) // 4 + 1]
        named = re.search(r"\(([a-z_.]+)(, so is all below it)?\)$", found[3])
        module = named[1] if named else above[-1][1]
        below = module if named is None or named[2] else inventory.errors.__name__
        assert found[2] not in tree, f"{found[2]} is drawn twice"
        tree[found[2]] = (above[-1][0], module)
        above.append((found[2], below))
    return tree


def test_every_error_raised_on_purpose_stands_in_the_drawn_tree() -> None:
    found = raised_classes()
    assert found.pop(ROOT) == ("Exception", HoldwrightError.__module__)
    assert found == drawn()
