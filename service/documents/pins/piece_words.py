"""A described piece as a word of a command line: ``part=rail,item=square-60,as=side``, or a JSON object."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from inventory.errors import Fault
from inventory.limits import shown

KEYS = ("item", "hole", "row", "column", "table", "part", "face", "as", "piece")
ACCEPTED = "KEY=VALUE,KEY=VALUE with " + ", ".join(KEYS) + '; or a JSON object, such as {"item": "a,b"}'


def piece_entries(words: Sequence[str], option: str) -> tuple[list[dict[str, Any]], list[Fault]]:
    """Return the entries that words stand for, and what is wrong with those that stand for none.

    Parameters
    ----------
    words : sequence of str
        Keys and values, or JSON objects.
    option : str
        What the words were given with: faults name it.
    """
    found: list[dict[str, Any]] = []
    faults: list[Fault] = []
    for k, word in enumerate(words):
        try:
            found.append(_object(word) if word.lstrip().startswith("{") else _pairs(word))
        except ValueError as wrong:
            faults.append(Fault(f"/{option}/{k}", str(wrong), ACCEPTED))
    return found, faults


def _pairs(word: str) -> dict[str, Any]:
    entry: dict[str, Any] = {}
    for pair in word.split(","):
        key, sign, value = (text.strip() for text in pair.partition("="))
        if not sign or not value:
            raise ValueError(f"{shown(pair)} is not KEY=VALUE")
        if key not in KEYS:
            raise ValueError(f"{shown(key)} is no key")
        if key in entry:
            raise ValueError(f"{key} is given twice")
        entry[key] = int(value) if key == "row" and value.isascii() and value.isdecimal() and len(value) < 8 else value
    return entry


def _object(word: str) -> dict[str, Any]:
    try:
        entry = json.loads(word)
    except (ValueError, RecursionError):
        raise ValueError(f"{shown(word)} is no JSON object") from None
    if not isinstance(entry, dict):
        raise ValueError(f"{shown(word)} is no JSON object")
    return entry
