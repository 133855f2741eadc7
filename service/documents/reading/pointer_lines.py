"""On which line of a JSON text the value of a pointer stands."""

from __future__ import annotations

import json
import re

from inventory.limits import escaped

_TOKENS = re.compile(r'"(?:[^"\\]|\\.)*"|[\[\]{},:]|[^\s\[\]{},:"]+', re.DOTALL)


def line_of(text: str, pointer: str) -> int | None:
    """Return the line, counted from 1, on which a pointer's value begins, or what holds it; None in no JSON text."""
    lines = _lines(text)
    while pointer and pointer not in lines:
        pointer = pointer.rpartition("/")[0]
    return lines.get(pointer)


def _lines(text: str) -> dict[str, int]:
    """Return the line of every value of a JSON text by its pointer; of a text that is none, as far as it goes."""
    found: dict[str, int] = {}
    stack: list[list[str | int | None]] = []
    line, at = 1, 0
    key_next = False
    for token in _TOKENS.finditer(text):
        line += text.count("\n", at, token.start())
        at = token.start()
        word = token.group()
        if word in ("]", "}"):
            if stack:
                stack.pop()
            key_next = False
        elif word == ",":
            if stack and isinstance(stack[-1][0], int):
                stack[-1][0] += 1
            else:
                key_next = bool(stack)
        elif word == ":":
            continue
        elif key_next:
            key_next = False
            if stack and word.startswith('"'):
                stack[-1][0] = _key(word)
        else:
            found.setdefault("".join(f"/{level[0]}" for level in stack), line)
            if word == "{":
                stack.append([None])
                key_next = True
            elif word == "[":
                stack.append([0])
    return found


def _key(word: str) -> str:
    try:
        return escaped(str(json.loads(word)))
    except ValueError:
        return "?"
