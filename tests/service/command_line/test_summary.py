"""What a plan looks like in a terminal: what a hand must hold is told with the alternative it belongs to."""

from __future__ import annotations

import io
from typing import Any

from rich.console import Console

from service.command_line.summary import print_plan
from solver.deadline import Deadline
from solver.planning import plan
from tests import builders as b


def printed(document: dict[str, Any]) -> str:
    screen = io.StringIO()
    print_plan(document, Console(file=screen, width=200))
    return screen.getvalue()


def test_what_a_hand_holds_is_told() -> None:
    request = b.request(b.tab_on_tube(), alternatives=1)
    document = plan(request, b.plain_shelf(), deadline=Deadline(lambda: 30.0)).document()
    best, text = document["alternatives"][0], "hold by hand until p7 is shut: gravity alone does not keep it"
    assert "by hand" not in printed(document)
    best["findings"].append({"rule": "load.by_hand", "subject": "tab", "ok": True, "text": text})
    lines = [line.strip() for line in printed(document).splitlines()]
    assert lines[lines.index(f"1  {best['title']}") + 1] == f"tab: {text}"
