"""The words by which readings of files tell: kinds of files, what became of a body, units of drawings."""

from __future__ import annotations

from typing import Literal

FileKind = Literal["step", "dxf", "csv"]
Outcome = Literal["part", "body", "left_out", "not_recognised"]
DrawnUnit = Literal["mm", "cm", "m", "inch", "foot"]
