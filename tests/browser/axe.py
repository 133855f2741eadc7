"""axe-core run on a page: what keeps people from using it, in words."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

_SCRIPT = Path(__file__).parent / "vendor" / "axe.js"


def violations(page: Page, within: str = "html") -> list[str]:
    """Return what breaks a rule of axe-core, its best practices too: the rule, what it asks for, where it is broken.

    Parameters
    ----------
    within : str
        A selector: only what is in there is looked at.
    """
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(_script())
    found: list[dict[str, Any]] = page.evaluate(
        "async (within) => (await axe.run(within, {resultTypes: ['violations']})).violations", within
    )
    return [
        f"{each['id']} ({each['impact']}): {each['help']}\n" + "\n".join(f"    {_place(node)}" for node in each["nodes"])
        for each in found
    ]


def _place(node: dict[str, Any]) -> str:
    said = "; ".join(check["message"] for check in (*node["any"], *node["all"], *node["none"]))
    return f"{' '.join(map(str, node['target']))}: {said}"


@cache
def _script() -> str:
    return _SCRIPT.read_text(encoding="utf-8")
