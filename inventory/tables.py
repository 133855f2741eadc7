"""Lattice tables and their hole labels."""

from __future__ import annotations

from dataclasses import dataclass

Hole = tuple[int, int]


def hole_label(hole: Hole) -> str:
    """Return the label of hole (column, row), both from 0: ``(2, 6)`` is ``C7``, ``(26, 0)`` is ``AA1``."""
    column, letters = hole[0], ""
    while column >= 0:
        letters = chr(ord("A") + column % 26) + letters
        column = column // 26 - 1
    return f"{letters}{hole[1] + 1}"


def parse_hole(label: str) -> Hole:
    """Return (column, row) of a label; raises ValueError if it is not column letters and a row number from 1."""
    letters = label.rstrip("0123456789")
    digits = label[len(letters) :]
    if not letters or not digits or not all("A" <= c <= "Z" for c in letters) or digits[0] == "0":
        raise ValueError(f"{label!r} is not a hole label such as C7 or AA12")
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - ord("A") + 1
    return column - 1, int(digits) - 1


@dataclass(frozen=True, slots=True)
class Table:
    """A flat plate with a square lattice of holes; lengths mm, slab from z = -thickness to 0.

    Hole (column c, row r) has its centre at ``first + pitch * (c, r)``.
    """

    id: str
    size: tuple[float, float]
    first: tuple[float, float]
    pitch: float
    columns: int
    rows: int
    hole_diameter: float
    thickness: float
    blocked_holes: frozenset[Hole] = frozenset()
    max_load_kg: float | None = None
