"""Files that public packages ship are read, or refused with a true reason; none of them is kept in this repository.

`PUBLIC_DRAWINGS` names the folder their packages were downloaded to, as `public_drawings.py` says; without it they are skipped.
"""

from __future__ import annotations

import io
import os
import tarfile
import zipfile
from pathlib import Path

import pytest

from tests.service.exchange.weldments.public_drawings import Outcome, public_drawings, read

FOLDER = os.environ.get("PUBLIC_DRAWINGS", "")
SQUARE = "0\nSECTION\n2\nENTITIES\n" + "".join(
    f"0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n"
    for (x0, y0), (x1, y1) in (((0, 0), (50, 0)), ((50, 0), (50, 40)), ((50, 40), (0, 40)), ((0, 40), (0, 0)))
)
DXF = f"{SQUARE}0\nENDSEC\n0\nEOF\n".encode()


def test_what_archives_hold_is_found_once_and_read(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "toys-1.0-py3-none-any.whl", "w") as wheel:
        wheel.writestr("toys/square.dxf", DXF)
        wheel.writestr("toys/again.DXF", DXF)
        wheel.writestr("toys/readme.txt", "no drawing")
    with tarfile.open(tmp_path / "more_toys-2.1.tar.gz", "w:gz") as source:
        entry = tarfile.TarInfo("more_toys-2.1/tests/broken.stp")
        entry.size = 12
        source.addfile(entry, io.BytesIO(b"ISO-10303-21"))
    broken, square = public_drawings(tmp_path)
    assert (broken.package, broken.name) == ("more_toys-2.1", "broken.stp")
    assert (square.package, square.path) == ("toys-1.0", "toys/again.DXF")
    outcome = read(square)
    assert outcome.outcomes == {"part": 1}
    assert outcome.reading is not None
    assert (outcome.reading.parts[0].section.shape, outcome.reading.parts[0].length) == ("plate", 6.0)


def told(outcome: Outcome) -> bool:
    """Whether nothing of a file is left without a word: a reason why it is refused, or why a body of it is no part."""
    if outcome.reading is None:
        return bool(outcome.reasons) and all(len(reason) > 10 for reason in outcome.reasons)
    return all(body.remarks for body in outcome.reading.bodies if body.outcome == "not_recognised")


@pytest.mark.slow
@pytest.mark.skipif(not FOLDER, reason="PUBLIC_DRAWINGS names no folder with downloaded packages")
def test_every_public_drawing_is_read_or_refused_with_a_reason() -> None:
    found = [read(drawing) for drawing in public_drawings(Path(FOLDER))]
    assert found
    assert [outcome.words for outcome in found if not told(outcome)] == []
    (assembly,) = (outcome for outcome in found if outcome.drawing.name == "as1-tu-203.stp")
    assert assembly.reading is not None
    assert len(assembly.reading.bodies) == 18
    # eight nuts, the rod and the base plate; six bolts are stepped, two brackets have rounded corners
    assert assembly.outcomes["part"] >= 10
