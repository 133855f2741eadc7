"""Spreadsheet cells as people and programs write them: numbers with commas and blanks, texts that look like formulas."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable
from decimal import Decimal
from typing import Literal

from inventory.errors import HoldwrightError

Separator = Literal[",", ";"]

# Where a cell may begin, whatever sign the reader takes for the separator: a name with a semicolon in a file with commas is two
# cells to a spreadsheet that splits at semicolons, quotation marks or not.
_CELLS = re.compile(r"(?<=[;,|\t\r\n])")
# What makes a formula when it stands first in a cell (OWASP, "CSV Injection"; source not checked), signs of other widths folded.
_FORMULA = frozenset("=+-@\t\r\n")
_UNSEEN = frozenset(("Zs", "Zl", "Zp", "Cc", "Cf", "Mn"))
_FILLERS = frozenset("\u115f\u1160\u3164\uffa0\u2800")
_MOST_DIGITS = 60
_BLANKS = re.compile("[ \u00a0\u2009\u202f']")
_GROUPED = re.compile(r"\d{1,3}([.,])\d{3}(?:\1\d{3})*")


class Unreadable(HoldwrightError):
    """A cell that is no number, or more than one; the text says why."""


def escaped(text: str) -> str:
    """Return a text that no spreadsheet runs as a formula or takes blanks from; `plain` gives it back."""
    first, *others = _CELLS.split(text)
    inside = "".join("'" + cell if _formula(cell) else cell for cell in others)
    return ("'" if _marked(text) else "") + first + inside


def table(rows: Iterable[Iterable[str | float]], separator: Separator = ",") -> bytes:
    """Return rows of cells as CSV that spreadsheets open: every text escaped, UTF-8 with a byte-order mark, lines as RFC 4180."""
    text = io.StringIO()
    writer = csv.writer(text, delimiter=separator, lineterminator="\r\n")
    writer.writerows([escaped(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    return text.getvalue().encode("utf-8-sig")


def plain(cell: str) -> str:
    """Return the text a cell stands for: what was escaped as it was, anything else without the blanks around it."""
    escaped_whole = cell.startswith("'") and _marked(cell[1:])
    first, *others = _CELLS.split(cell[1:] if escaped_whole else cell.strip())
    return first + "".join(each[1:] if each.startswith("'") and _formula(each[1:]) else each for each in others)


def _marked(text: str) -> bool:
    """Whether a text is escaped by a quote in front: it is a formula, or would lose blanks. Quotes before it do not count."""
    bare = text.lstrip("'")
    return _formula(bare) or bare != bare.strip()


def _formula(cell: str) -> bool:
    """Whether a cell begins a formula, behind quotes and characters that are not seen."""
    for character in cell:
        if character in _FORMULA or unicodedata.normalize("NFKC", character) in _FORMULA:
            return True
        if not (character == "'" or character in _FILLERS or unicodedata.category(character) in _UNSEEN):
            return False
    return False


def number(cell: str) -> Decimal:
    """Return the number in a cell, with a decimal point or comma, with or without signs between thousands.

    Raises
    ------
    Unreadable
        No number, or one that could be read two ways: `1,200` is 1200 to one reader and 1.2 to another.
    """
    digits = _BLANKS.sub("", plain(cell))
    if len(digits) > _MOST_DIGITS:
        raise Unreadable(f"has more than {_MOST_DIGITS} digits")
    if digits.startswith("="):
        raise Unreadable("is a formula; paste its value")
    sign, digits = ("-", digits[1:]) if digits.startswith("-") else ("", digits.removeprefix("+"))
    if not re.fullmatch(r"\d[\d.,]*", digits):
        raise Unreadable("is not a number")
    marks = [mark for mark in digits if mark in ".,"]
    if len(set(marks)) == 2:
        whole, decimals = digits.rsplit(marks[-1], 1)
        if marks.count(marks[-1]) > 1 or not re.fullmatch(rf"\d{{1,3}}(?:{re.escape(marks[0])}\d{{3}})+", whole):
            raise Unreadable("mixes points and commas")
        digits = whole.replace(marks[0], "") + "." + decimals
    elif len(marks) == 1 and _GROUPED.fullmatch(digits) and not digits.startswith("0"):
        raise Unreadable(
            f"could be {re.sub('[.,]', '', digits)} or {digits.replace(',', '.')}; leave the sign between thousands out"
        )
    elif len(marks) == 1:
        digits = digits.replace(",", ".")
    elif marks:
        if not _GROUPED.fullmatch(digits):
            raise Unreadable("is not a number")
        digits = digits.replace(marks[0], "")
    return Decimal(sign + digits.rstrip("."))


def whole(cell: str) -> int:
    """Return the whole number in a cell; `8,0` is one, `8,5` is not."""
    found = number(cell)
    if found != found.to_integral_value():
        raise Unreadable("is not a whole number")
    return int(found)


def cents(cell: str) -> int:
    """Return the cents of an amount of money with at most two decimals."""
    found = number(cell) * 100
    if found != found.to_integral_value():
        raise Unreadable("has more than two decimals")
    return int(found)
