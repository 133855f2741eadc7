"""What a file is, by its first bytes and by its name."""

from __future__ import annotations

import gzip
import io
import zipfile

import pytest

from inventory.errors import Fault, InvalidDocument
from service.exchange.weldments.file_kind import kind_of

STEP = b"ISO-10303-21;\nHEADER;\n"
DXF = b"  0\r\nSECTION\r\n  2\r\nHEADER\r\n"


def archive() -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as file:
        file.writestr("frame.step", STEP)
    return held.getvalue()


@pytest.mark.parametrize(
    ("content", "name", "kind"),
    [
        (STEP, "frame.STEP", "step"),
        (b"\xef\xbb\xbf\r\n" + STEP, "", "step"),
        (DXF, "plate.dxf", "dxf"),
        (b"999\nmade by hand\n" + DXF, "plate.txt", "dxf"),
        (b"XXXXXXX Binary DXF\r\n\x1a\x00\x00\x00SECTION\x00", "plate.dxf", "dxf"),
        (b"part;section;length\npost;SHS 50x3;600\n", "cuts.csv", "csv"),
        ("part,section\n".encode("utf-16"), "cuts.csv", "csv"),
    ],
)
def test_a_file_is_what_its_first_bytes_say(content: bytes, name: str, kind: str) -> None:
    assert kind_of(content, name) == kind


@pytest.mark.parametrize(
    ("content", "name", "wrong"),
    [
        (b"", "frame.step", "the file is empty"),
        (b" \n\x00\n", "frame.step", "the file holds nothing but blanks"),
        (archive(), "frame.step", "the file is a zip archive, though it is called 'frame.step'"),
        (gzip.compress(STEP, mtime=0), "plate.dxf", "the file is a gzip archive, though it is called 'plate.dxf'"),
        (b"%PDF-1.7\n", "frame.stp", "the file is a PDF document, though it is called 'frame.stp'"),
        (b"AC1032\x00\x00", "plate.dxf", "the file is a native drawing, not its DXF, though it is called 'plate.dxf'"),
        (STEP, "cuts.csv", "the file is a STEP file, though it is called 'cuts.csv'"),
        (DXF, "frame.step", "the file is a DXF drawing, though it is called 'frame.step'"),
        (
            b"\x80\x81\x00\x07" * 50,
            "frame.step",
            "the file holds bytes of no kind that is known, though it is called 'frame.step'",
        ),
        (b"just words\n", "", "the file is of no kind that is known; it begins with 'just words\\n'"),
        (b'{"format": 1}', "frame.step", "the file is a JSON document, though it is called 'frame.step'"),
        (b"solid x\n facet normal 0 0 1\n", "", "the file is a mesh of triangles (STL)"),
    ],
)
def test_what_is_not_read_is_called_by_its_name(content: bytes, name: str, wrong: str) -> None:
    with pytest.raises(InvalidDocument) as refusal:
        kind_of(content, name)
    (fault,) = refusal.value.faults
    assert isinstance(fault, Fault) and fault.wrong == wrong


def test_what_a_file_was_sent_as_stands_for_an_ending() -> None:
    assert kind_of(STEP, "", "step") == "step"
    with pytest.raises(InvalidDocument, match="the file is a STEP file"):
        kind_of(STEP, "", "dxf")
