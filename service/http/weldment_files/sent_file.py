"""A file as it is sent: a form of several parts with the file in one (RFC 7578), or the body itself, its options in the query.

The form may be hostile: parts, headers and the words in them are counted, and no name out of it is ever that of a file here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import PureWindowsPath
from typing import Any

from python_multipart.exceptions import FormParserError
from python_multipart.multipart import MultipartParser, parse_options_header

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import escaped, shown
from service.documents.weldment_files.words import FileKind
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.weldment_reading import ReadingOptions
from service.http.guard.body import MULTIPART
from service.http.problems import HttpProblem
from service.text import printable

FILE = "file"
WORDS: Mapping[str, str] = {
    "units": "what the file's lengths are in: mm, cm, m, inch or foot; absent: as the file says",
    "thickness_mm": "of plates of a flat drawing, where nothing says another",
    "layer_thickness": "of plates on a layer, LAYER=MM; in a form it may be given again",
    "gap_mm": "ends of lines no farther apart are joined, mm; absent: 0.05",
    "as_body": "a body that is no part takes up room as its outer body, * for every one; in a form it may be given again",
    "leave_out": "a body that is left out, * for every one that is no part; in a form it may be given again",
    "fill_holes": "a solid whose drilled holes are filled, * for every one that is no part with them; may be given again",
    "material": "steel, stainless or aluminium, where the file does not say; absent: steel",
    "name": "what the weldment is called; absent: as the file says",
}
"""What may be said of a file, beside it."""
_SEVERAL = ("layer_thickness", "as_body", "leave_out", "fill_holes")
_FIELD_OF = {
    "/units": "units", "/thickness_mm": "thickness_mm", "/thickness_by_layer": "layer_thickness", "/gap_mm": "gap_mm",
    "/as_bodies": "as_body", "/left_out": "leave_out", "/filled": "fill_holes",
    "/material": "material", "/name": "name",
}  # fmt: skip
MOST_PARTS = 500
MOST_WORD_BYTES = 4096
_BOUNDARY = re.compile(rb"[0-9A-Za-z'()+_,./:=? -]{0,69}[0-9A-Za-z'()+_,./:=?-]")
FORM_ROOM = 200_000
"""Bytes that a form may have beside its file."""


@dataclass
class SentFile:
    """A file with what is said of it.

    Parameters
    ----------
    name : str
        Its name, without folders; empty if it has none.
    declared : FileKind or None
        What it is sent as.
    words : mapping
        What is said of it, by the words of `WORDS`.
    place : str
        Where the words stand: ``/form`` or ``/query``.
    """

    content: bytes
    name: str
    declared: FileKind | None
    words: Mapping[str, list[str]]
    place: str

    @property
    def called(self) -> str:
        """What the weldment is called, by whoever sent it."""
        return (self.words.get("name") or [""])[0]

    def options(self) -> ReadingOptions:
        """Return the options of reading; raises InvalidDocument, pointers where the words stand."""
        given: dict[str, Any] = {}
        faults: list[Fault] = []
        for word, field_name in (("units", "units"), ("material", "material")):
            if word in self.words:
                given[field_name] = self.words[word][0]
        for word in ("thickness_mm", "gap_mm"):
            if word in self.words:
                given[word] = self._number(word, self.words[word][0], faults)
        layers = [text.rpartition("=") for text in self.words.get("layer_thickness", ())]
        given["thickness_by_layer"] = {
            layer: self._number("layer_thickness", number if layer else "", faults) for layer, _, number in layers
        }
        given["as_bodies"] = tuple(self.words.get("as_body", ()))
        given["left_out"] = tuple(self.words.get("leave_out", ()))
        given["filled"] = tuple(self.words.get("fill_holes", ()))
        refuse(faults)
        try:
            return ReadingOptions(**given)
        except InvalidDocument as bad:
            raise InvalidDocument([self.placed(fault) for fault in bad.faults]) from None

    def placed(self, fault: Fault) -> Fault:
        """Return a fault of reading with its place in what was sent: among the words, or in the file."""
        for pointer, word in _FIELD_OF.items():
            if fault.pointer == pointer or fault.pointer.startswith(f"{pointer}/"):
                return Fault(f"{self.place}/{word}", fault.wrong, fault.accepted)
        return Fault(f"/{FILE}{fault.pointer}", fault.wrong, fault.accepted)

    def _number(self, word: str, text: str, faults: list[Fault]) -> float:
        try:
            return float(text)
        except ValueError:
            accepted = "LAYER=MM, such as CUT=8" if word == "layer_thickness" else "a number of millimetres"
            faults.append(Fault(f"{self.place}/{word}", f"{shown(text)} is not a number", accepted))
            return 1.0


def sent_file(
    body: bytes, content_type: str, query: Mapping[str, str | None], beside: Mapping[str, int] | None = None
) -> SentFile:
    """Return the file in a request's body.

    Parameters
    ----------
    beside : mapping
        Further parts that a form may have, each with the most bytes it may have.

    Raises
    ------
    Problem
        ``bad-header`` for a form whose boundary is none, ``malformed`` for one that cannot be taken apart.
    InvalidDocument
        With the faults of the form's words.
    """
    media, parameters = parse_options_header(content_type.encode("latin-1", "replace"))
    said = {word: [text] for word, text in query.items() if text is not None and word in WORDS}
    if media != MULTIPART.encode():
        kind = next((each.kind for each in READERS.values() if media.decode("latin-1") in each.media_types), None)
        return SentFile(body, _plain(query.get("filename") or ""), kind, said, "/query")
    if said:
        raise InvalidDocument(
            [Fault(f"/query/{word}", "is said beside a form", "a part of the form of that name") for word in sorted(said)]
        )
    boundary = parameters.get(b"boundary", b"")
    if not _BOUNDARY.fullmatch(boundary):
        raise HttpProblem("bad-header", "Content-Type names no boundary; accepted: multipart/form-data; boundary=WORD")
    return _of_form(_parts(body, boundary), {**dict.fromkeys(WORDS, MOST_WORD_BYTES), **(beside or {})})


@dataclass
class _FormPart:
    """One part of a form: what its headers say, and its bytes."""

    headers: list[list[bytearray]] = field(default_factory=list)
    content: bytearray = field(default_factory=bytearray)


def _parts(body: bytes, boundary: bytes) -> list[_FormPart]:
    parts: list[_FormPart] = []
    ended = False

    def begin() -> None:
        if len(parts) >= MOST_PARTS:
            raise HttpProblem("malformed", f"the form has more than {MOST_PARTS} parts; accepted: at most {MOST_PARTS}")
        parts.append(_FormPart())

    def end() -> None:
        nonlocal ended
        ended = True

    parser = MultipartParser(
        boundary,
        {
            "on_part_begin": begin,
            "on_header_begin": lambda: parts[-1].headers.append([bytearray(), bytearray()]),
            "on_header_field": lambda data, start, stop: parts[-1].headers[-1][0].extend(data[start:stop]),
            "on_header_value": lambda data, start, stop: parts[-1].headers[-1][1].extend(data[start:stop]),
            "on_part_data": lambda data, start, stop: parts[-1].content.extend(data[start:stop]),
            "on_end": end,
        },
        len(body) + 1,
    )
    try:
        parser.write(body)
        parser.finalize()
    except FormParserError as error:
        raise HttpProblem("malformed", f"the form cannot be taken apart: {printable(str(error))[:200]}") from None
    if not ended:
        raise HttpProblem("malformed", "the form ends before its last boundary; accepted: a whole form")
    return parts


def _of_form(parts: list[_FormPart], known: Mapping[str, int]) -> SentFile:
    words: dict[str, list[str]] = {}
    faults: list[Fault] = []
    found: list[tuple[bytes, str, str]] = []
    for part in parts:
        told = {bytes(name).strip().lower(): bytes(value).strip() for name, value in part.headers}
        _, parameters = parse_options_header(told.get(b"content-disposition", b""))
        name = parameters.get(b"name", b"").decode("utf-8", "replace")
        if name == FILE:
            media = told.get(b"content-type", b"").partition(b";")[0].strip().lower().decode("latin-1")
            found.append((bytes(part.content), parameters.get(b"filename", b"").decode("utf-8", "replace"), media))
        elif name not in known:
            there_is = ", ".join((FILE, *known))
            faults.append(Fault(f"/form/{escaped(shown(name)[1:-1])}", f"there is no part {shown(name)} here", there_is))
        elif name in words and name not in _SEVERAL:
            faults.append(Fault(f"/form/{name}", "is given twice", "once at most"))
        else:
            text, wrong = _word(bytes(part.content), known[name])
            faults += [] if wrong is None else [Fault(f"/form/{name}", wrong, f"at most {known[name]} bytes of UTF-8")]
            words.setdefault(name, []).append(text)
    if len(found) != 1:
        wrong = "there is no file" if not found else f"{len(found)} files"
        faults.append(Fault(f"/form/{FILE}", wrong, "one part named file, with the file's name"))
    refuse(faults[:100])
    content, filename, media = found[0]
    kind = next((each.kind for each in READERS.values() if media in each.media_types), None)
    return SentFile(content, _plain(filename), kind, {key: texts for key, texts in words.items() if any(texts)}, "/form")


def _word(content: bytes, most: int) -> tuple[str, str | None]:
    if len(content) > most:
        return "", f"{len(content):,} bytes"
    try:
        return content.decode(), None
    except UnicodeDecodeError:
        return "", "the text is not UTF-8"


def _plain(filename: str) -> str:
    """Return a file's name without folders, of either manner, and without characters that cannot be shown."""
    return printable(PureWindowsPath(filename).name)[:200]
