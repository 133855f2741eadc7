"""What was read of a file, in words: every body with what it became, what is to be known of it, and what is left to say."""

from __future__ import annotations

import shlex
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from service.command_line.printing.console import note, print_table, print_wrapped
from service.exchange.weldments.weldment_reading import DRILLED, Deviation, Outcome, ReadBody, Remark, WeldmentReading
from service.text import printable
from service.text_table import Column

_MOST_NAMED = 10
_MOST_TOLD = 30
_COUNTED: dict[Outcome, tuple[str, str]] = {
    "part": ("part", "parts"), "body": ("outer body", "outer bodies"), "left_out": ("left out", "left out"),
    "not_recognised": ("not recognised", "not recognised"),
}  # fmt: skip
_COLUMNS = (
    Column("no", right=True), Column("body"), Column("part"), Column("what it is", wraps=True), Column("off by", right=True),
)  # fmt: skip


def print_reading(file: str, reading: WeldmentReading, written: Path | None) -> None:
    """Print a reading on standard output; what the user has to say on standard error.

    Parameters
    ----------
    file : str
        Name of the file.
    written : Path or None
        Where the weldment was written.
    """
    print_wrapped(f"{printable(file)}: {_headline(reading)}")
    rows = [
        (body.number, body.name, body.part or "", _what(body), "" if body.deviation is None else _off(body.deviation))
        for body in reading.bodies
    ]
    print_table(_COLUMNS, rows, "no bodies")
    lines = [*_told(reading.remarks), *(line for body in reading.bodies for line in _of_body(body))]
    for line in lines[:_MOST_TOLD]:
        print_wrapped(printable(line), "  ")
    if len(lines) > _MOST_TOLD:
        print(f"and {len(lines) - _MOST_TOLD:,} more remarks, in --report FILE")
    for line in _to_say(reading):
        note(line)
    if written is not None:
        print(f"written: {written}")


def _headline(reading: WeldmentReading) -> str:
    counts = Counter(body.outcome for body in reading.bodies)
    listed = [f"{counts[outcome]} {words[counts[outcome] != 1]}" for outcome, words in _COUNTED.items() if counts[outcome]]
    dialect = f" ({printable(reading.dialect)})" if reading.dialect else ""
    bodies = f"{len(reading.bodies)} {'body' if len(reading.bodies) == 1 else 'bodies'}"
    return f"{reading.kind.upper()}{dialect}, lengths in {reading.units}; {bodies}" + (f": {', '.join(listed)}" if listed else "")


def _what(body: ReadBody) -> str:
    if body.outcome == "not_recognised":
        return "not recognised" + (f": {body.words}" if body.words else "")
    return body.words or _COUNTED[body.outcome][0]


def _off(deviation: Deviation) -> str:
    return f"{round(deviation.largest_mm, 4):.3g} mm, {round(100 * deviation.volume_share, 4) + 0.0:+.2g} %"


def _of_body(body: ReadBody) -> Iterator[str]:
    for line in _told(body.remarks):
        yield f"{body.name}: {line}"


def _told(remarks: Sequence[Remark]) -> Iterator[str]:
    for remark in remarks:
        at = "" if remark.at is None else " at " + ", ".join(f"{number:.6g}" for number in remark.at)
        where = f" ({remark.where}{at})" if remark.where or at else ""
        yield f"{remark.text}{where}"


def _to_say(reading: WeldmentReading) -> Iterator[str]:
    """Yield what the user has to say before there is a weldment."""
    undecided = reading.undecided
    for body in undecided[:_MOST_NAMED]:
        name = shlex.quote(printable(body.name))
        if any(remark.code.startswith("thickness.") for remark in body.remarks):
            yield f"say how thick it is: --thickness MM or --layer-thickness LAYER=MM; or --leave-out {name}"
        else:
            drilled = any(remark.code == DRILLED for remark in body.remarks)
            filled = f"--fill-holes {name} (a part without its holes), " if drilled else ""
            yield f"say what becomes of it: {filled}--as-body {name} (takes up room as its outer body) or --leave-out {name}"
    if len(undecided) > _MOST_NAMED:
        yield f"and of {len(undecided) - _MOST_NAMED:,} more; --as-body '*' or --leave-out '*' says it of all that are no part"
    if not undecided and not reading.parts:
        yield "nothing of the file is a part, so there is no weldment"
