"""What the text of a STEP file tells before anything is made of it: that it is one, by which protocol, how many solids it holds.

Source: ISO 10303-21 for the structure, ISO 10303-203, -214 and -242 for the names of schemas; source not checked.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from inventory.errors import Fault, InvalidDocument

SOLIDS = re.compile(rb"(?:MANIFOLD_SOLID_BREP|BREP_WITH_VOIDS|FACETED_BREP)\s*\(")
FACES = re.compile(rb"(?:ADVANCED_FACE|FACE_SURFACE)\s*\(")
SCHEMA = re.compile(rb"FILE_SCHEMA\s*\(\s*\(\s*'([^']{0,200})'", re.DOTALL)
MOST_SOLIDS = 2000
"""Solids a file may hold: ten times as many as a weldment may have parts, so that most of them may be left out."""
MOST_FACES = 100_000
FIRST = b"ISO-10303-21;"
LAST = b"END-ISO-10303-21;"
_PROTOCOLS = (("AP242", "AP242"), ("AUTOMOTIVE_DESIGN", "AP214"), ("CONFIG_CONTROL_DESIGN", "AP203"), ("AP203", "AP203"))


@dataclass(frozen=True, slots=True)
class StepHeader:
    """`dialect`: ``AP242``, ``AP214``, ``AP203``, or the schema as it is named; `solids`: how many are written."""

    dialect: str
    solids: int


def read_header(content: bytes) -> StepHeader:
    """Return what the text of a STEP file tells; raises InvalidDocument if it is none, not whole, or too much."""
    accepted = "a STEP file (ISO 10303-21, clear text), by AP203, AP214 or AP242"
    begin = content.find(FIRST, 0, 2000)
    if begin < 0 or content[:begin].strip(b"\xef\xbb\xbf \t\r\n"):
        raise InvalidDocument([Fault("/header", "the file does not begin with ISO-10303-21;", accepted)])
    if LAST not in content[-2000:] and LAST not in content:
        raise InvalidDocument([Fault("/end", "the file breaks off: END-ISO-10303-21; is missing", "the whole file")])
    solids, faces = sum(1 for _ in SOLIDS.finditer(content)), sum(1 for _ in FACES.finditer(content))
    if solids > MOST_SOLIDS:
        raise InvalidDocument([Fault("/data", f"{solids} solids", f"at most {MOST_SOLIDS} solids in a file")])
    if faces > MOST_FACES:
        raise InvalidDocument([Fault("/data", f"{faces} faces", f"at most {MOST_FACES} faces in a file")])
    schema = SCHEMA.search(content, begin)
    return StepHeader(_dialect(schema.group(1) if schema else b""), solids)


def _dialect(schema: bytes) -> str:
    name = schema.decode("ascii", "replace").upper().strip()
    for sign, protocol in _PROTOCOLS:
        if name.startswith(sign):
            return protocol
    return "".join(c for c in name.split("{")[0].strip() if c.isprintable())[:64]
