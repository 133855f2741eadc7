"""What the text of a STEP file tells before anything is made of it: that it is one, by which protocol, how many solids it holds.

Source: ISO 10303-21 for the structure, ISO 10303-203, -214 and -242 for the names of schemas; source not checked.
"""

from __future__ import annotations

import re

from inventory.errors import Fault, InvalidDocument

SOLIDS = re.compile(rb"(?:MANIFOLD_SOLID_BREP|BREP_WITH_VOIDS|FACETED_BREP)\s*\(")
PLACED = re.compile(rb"NEXT_ASSEMBLY_USAGE_OCCURRENCE\s*\(")
FACES = re.compile(rb"(?:ADVANCED_FACE|FACE_SURFACE)\s*\(")
SCHEMA = re.compile(rb"FILE_SCHEMA\s*\(\s*\(\s*'([^']{0,200})'", re.DOTALL)
MOST_SOLIDS = 2000
"""Solids a file may hold: ten times as many as a weldment may have parts, so that most of them may be left out."""
MOST_PLACED = 4000
"""Times that products may be placed in assemblies."""
MOST_FACES = 100_000
COUNTED = (("solids", SOLIDS, MOST_SOLIDS), ("placed products", PLACED, MOST_PLACED), ("faces", FACES, MOST_FACES))
FIRST = b"ISO-10303-21;"
LAST = b"END-ISO-10303-21;"
_PROTOCOLS = (("AP242", "AP242"), ("AUTOMOTIVE_DESIGN", "AP214"), ("CONFIG_CONTROL_DESIGN", "AP203"), ("AP203", "AP203"))


def dialect_of(content: bytes) -> str:
    """Return ``AP242``, ``AP214``, ``AP203``, or the schema as a STEP file names it.

    Raises InvalidDocument if it is no STEP file, not whole, or too much: before anything is made of it.
    """
    accepted = "a STEP file (ISO 10303-21, clear text), by AP203, AP214 or AP242"
    begin = content.find(FIRST, 0, 2000)
    if begin < 0 or content[:begin].strip(b"\xef\xbb\xbf \t\r\n"):
        raise InvalidDocument([Fault("/header", "the file does not begin with ISO-10303-21;", accepted)])
    if LAST not in content[-2000:] and LAST not in content:
        raise InvalidDocument([Fault("/end", "the file breaks off: END-ISO-10303-21; is missing", "the whole file")])
    for what, pattern, most in COUNTED:
        count = sum(1 for _ in pattern.finditer(content))
        if count > most:
            raise InvalidDocument([Fault("/data", f"{count} {what}", f"at most {most} {what} in a file")])
    schema = SCHEMA.search(content, begin)
    return _protocol(schema.group(1) if schema else b"")


def _protocol(schema: bytes) -> str:
    name = schema.decode("ascii", "replace").upper().strip()
    for sign, protocol in _PROTOCOLS:
        if name.startswith(sign):
            return protocol
    return "".join(c for c in name.split("{")[0].strip() if c.isprintable())[:64]
