"""The errors raised on purpose: one tree, drawn whole."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator

import inventory
import inventory.errors
import service
import solver
from inventory.errors import HoldwrightError

ROOT = HoldwrightError.__name__


def raised_classes() -> Iterator[type[Exception]]:
    """Yield every exception class our packages define."""
    for package in (inventory, solver, service):
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if ".migrations." in found.name:
                continue  # run by the migration tool alone; importing one starts it
            module = importlib.import_module(found.name)
            for _, value in inspect.getmembers(module, inspect.isclass):
                if issubclass(value, Exception) and value.__module__ == module.__name__:
                    yield value


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
    tree = drawn()
    classes = {error.__name__: error for error in raised_classes()}
    assert classes.pop(ROOT) is HoldwrightError
    assert {name: (error.__bases__[0].__name__, error.__module__) for name, error in classes.items()} == tree
    assert all(issubclass(error, HoldwrightError) for error in classes.values())
