"""The page a terminal shows of one alternative: drawing and lists, one below the other, as wide as there is room."""

from __future__ import annotations

import io
from collections.abc import Iterable

from rich.console import Console
from rich.text import Text

from service.drawings.run_settings import HEADING
from service.drawings.scene import scene
from service.drawings.subject import Subject
from service.drawings.terminal.lists import change_lines, kit_lines, placement_lines, setting_lines
from service.drawings.terminal.raster import FINE, PLAIN, key_line, top_view_lines
from service.steps import load_lines
from service.text import printable
from service.text_table import wrapped

PAGE = 120
"""Characters in a line where nobody says how many there may be."""
_INDENT = "   "


def print_setup(subject: Subject, console: Console) -> None:
    """Print the top view, the pieces, the kit by bin, settings by variant, the load order with the ways in and out.

    The drawing is plain ASCII where the terminal takes no more.

    Raises
    ------
    KeyError
        If the alternative names a table or an item the stock does not have.
    """
    width, glyphs = console.width, FINE if "utf" in (console.encoding or "").lower() else PLAIN
    drawn = scene(subject)
    _print_lines(console, wrapped(_title(subject), width, _INDENT))
    console.print()
    for line in top_view_lines(drawn, glyphs, width):
        console.print(line, no_wrap=True, overflow="ignore", crop=False)
    console.print(key_line(glyphs))
    _block(console, "pieces, in the order they are placed", placement_lines(subject, width))
    _block(console, "kit, by bin", kit_lines(subject, width))
    if subject.alternative.variants:
        _block(console, HEADING, setting_lines(subject, width))
    steps = load_lines(subject.alternative, subject.request.weldment.units)
    _block(console, "load order, and the way out", (line for step in steps for line in wrapped(printable(step), width, _INDENT)))


def as_text(subject: Subject) -> str:
    """Return the page as plain text, 120 characters wide; in a re-plan the steps from what stands close it."""
    page = io.StringIO()
    console = Console(file=page, width=PAGE, color_system=None, force_terminal=False)
    print_setup(subject, console)
    if subject.alternative.changes:
        _block(console, "from what stands", change_lines(subject, PAGE))
    return page.getvalue()


def _block(console: Console, heading: str, lines: Iterable[str]) -> None:
    """Print a heading and the lines below it, none of them folded again."""
    console.print()
    console.print(Text(heading, style="bold"), no_wrap=True, overflow="ignore", crop=False)
    _print_lines(console, lines)


def _title(subject: Subject) -> str:
    one, weldment = subject.alternative, subject.request.weldment
    made = f"{len(weldment.parts)} parts, {len(weldment.welds)} welds, {subject.request.quantity} off"
    return printable(f"{weldment.name or 'weldment'}: {made}; rank {one.rank}, {one.title}, on table {one.table}")


def _print_lines(console: Console, lines: Iterable[str]) -> None:
    for line in lines:
        console.print(Text(line), no_wrap=True, overflow="ignore", crop=False)
