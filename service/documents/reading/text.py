"""JSON text to plain values, with every lexical guard: size, encoding, depth, duplicate keys, numbers, surrogates.

What can be read is read on, so that lexical faults stand beside all the others; what cannot be read at all is one fault.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from dataclasses import dataclass
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.limits import escaped, shown

DEEPEST = 32
LARGEST_BODY = 1_000_000
LARGEST_FILE = 20_000_000
_READABLE_DEPTH = 256
_LARGEST_WHOLE = 2**63
# An unclosed string counts to the end of the text: each byte is looked at once, whatever the text.
_STRINGS = re.compile(rb'"(?:[^"\\]|\\.)*+(?:"|\\?\Z)', re.DOTALL)
_BRACKETS = re.compile(rb"[\[\]{}]")


@dataclass(frozen=True, slots=True)
class JsonText:
    """Plain JSON values and the lexical faults found on the way."""

    values: Any
    faults: tuple[Fault, ...] = ()


class _KeysTwice(dict[str, Any]):
    """A JSON object that gave keys twice: `twice` lists them."""

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        given = Counter(key for key, _ in pairs)
        self.twice = [key for key, times in given.items() for _ in range(times - 1)]


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    return made if len(made) == len(pairs) else _KeysTwice(pairs)


def read_text(raw: bytes | str | dict[str, Any], largest: int = LARGEST_BODY) -> JsonText:
    """Return the plain values of a JSON document.

    Parameters
    ----------
    raw : bytes, str or dict
        UTF-8 text, or values already parsed (guarded all the same).
    largest : int
        Most bytes accepted.

    Raises
    ------
    InvalidDocument
        If the text is too large, nested beyond reading, or not JSON; the fault says where.
    """
    if not isinstance(raw, bytes | str):
        return _walked(raw, foreign=False)
    content = raw if isinstance(raw, bytes) else raw.encode("utf-8", "surrogatepass")
    if len(content) > largest:
        raise InvalidDocument([Fault("", f"{len(content):,} bytes", f"at most {largest:,} bytes")])
    if (depth := _depth(content)) > _READABLE_DEPTH:
        raise InvalidDocument([Fault("", f"nested {depth} deep", f"at most {DEEPEST} levels")])
    foreign = False
    if isinstance(raw, str):
        text = raw
    else:
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            foreign, text = True, content.decode("utf-8-sig", "surrogateescape")
    try:
        values = json.loads(text.removeprefix("\ufeff"), object_pairs_hook=_object, parse_int=_whole)
    except json.JSONDecodeError as error:
        raise InvalidDocument([_unreadable(error, text, foreign)]) from None
    return _walked(values, foreign)


def _whole(digits: str) -> int | float:
    # Python refuses to parse whole numbers of thousands of digits; as a float they are refused for being infinite.
    return int(digits) if len(digits) < 300 else float(digits)


def _depth(content: bytes) -> int:
    depth = deepest = 0
    for bracket in _BRACKETS.findall(_STRINGS.sub(b"", content)):
        depth += 1 if bracket in b"[{" else -1
        deepest = max(deepest, depth)
    return deepest


def _unreadable(error: json.JSONDecodeError, text: str, foreign: bool) -> Fault:
    where = f"line {error.lineno}, column {error.colno}"
    if foreign and any("\udc80" <= c <= "\udcff" for c in text[error.pos : error.pos + 1]):
        return Fault("", f"the text is not UTF-8 at {where}", "UTF-8 text")
    what = error.msg[0].lower() + error.msg[1:]
    return Fault("", f"not JSON: {what} at {where}", "one JSON object")


def _walked(values: Any, foreign: bool) -> JsonText:
    faults: list[Fault] = []
    stray_keys = False
    stack: list[tuple[str, Any, int]] = [("", values, 1)]
    while stack:
        pointer, value, depth = stack.pop()
        if isinstance(value, dict | list) and depth > DEEPEST:
            faults.append(Fault(pointer, f"nested more than {DEEPEST} deep", f"at most {DEEPEST} levels"))
        elif isinstance(value, dict):
            for key in value.twice if isinstance(value, _KeysTwice) else ():
                faults.append(Fault(f"{pointer}/{token(key)}", f"the key {shown(key)} is given twice", "each key once"))
            for key, entry in value.items():
                found = _text_faults(f"{pointer}/{token(str(key))}", str(key), foreign, "key")
                faults += found
                stray_keys = stray_keys or bool(found)
                stack.append((f"{pointer}/{token(str(key))}", entry, depth + 1))
        elif isinstance(value, list | tuple):
            stack += ((f"{pointer}/{k}", entry, depth + 1) for k, entry in enumerate(value))
        elif isinstance(value, str):
            faults += _text_faults(pointer, value, foreign, "text")
        elif isinstance(value, float) and not math.isfinite(value):
            faults.append(Fault(pointer, f"{value} is not a finite number", "a finite number"))
        elif isinstance(value, int) and abs(value) > _LARGEST_WHOLE:
            faults.append(Fault(pointer, "the number is too large", "a number of at most 18 digits"))
    return JsonText(_without_strays(values) if stray_keys else values, tuple(faults))


def _without_strays(values: Any) -> Any:
    # No field has such a name, and one such key would keep its whole object from being read.
    if isinstance(values, dict):
        return {key: _without_strays(value) for key, value in values.items() if not _strays(key)}
    return [_without_strays(value) for value in values] if isinstance(values, list) else values


def token(key: str) -> str:
    """Return a key as one printable token of a JSON pointer."""
    return escaped(key.encode("utf-8", "backslashreplace").decode())


def _text_faults(pointer: str, text: str, foreign: bool, what: str) -> list[Fault]:
    strays = _strays(text)
    if not strays:
        return []
    if foreign and "\udc80" <= strays[0] <= "\udcff":
        return [Fault(pointer, f"the {what} is not UTF-8: byte 0x{ord(strays[0]) - 0xDC00:02X}", "UTF-8 text")]
    return [Fault(pointer, f"the {what} holds half of a surrogate pair, U+{ord(strays[0]):04X}", "whole characters")]


def _strays(text: str) -> list[str]:
    return [c for c in text if "\ud800" <= c <= "\udfff"]
