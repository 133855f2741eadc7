"""Whether side points stand wide apart and on a long face: one group of a part's side contacts must keep both rules."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby
from typing import Any

from solver.checks.rules.side_points import SLACK, Side, sides_of
from solver.rescoring.limits.limit_kind import LimitKind, Measurement, Row, Rows, Trespass, TurningPoint
from solver.rule_book.book import RuleBook

RATIO, MOST, FACE = "locate.side_spacing_ratio", "locate.side_spacing_max", "locate.side_face_ratio"


def measure(measured: Measurement) -> list[list[Any]]:
    """Return part, span, the part's reach along the side, the face's length (None: any will do), the longest face, mm."""
    rows: list[list[Any]] = []
    for scene in measured.strictest:  # the whole reach and the longest face are asked there
        for part in scene.parts.values():
            for side in sides_of(scene, part):
                face = side.face if math.isfinite(side.face) else None
                row = [part.id, side.span, side.spacing, face, side.length]
                if row not in rows:
                    rows.append(row)
    return sorted(rows, key=lambda row: str(row[0]))


def judge(rows: Rows, before: RuleBook, after: RuleBook) -> Iterator[Trespass]:
    """Yield the parts of which no side keeps both rules, by their best side."""
    for part, own in groupby(rows, key=lambda row: row[0]):
        best = max((_side(row, after) for row in own), key=lambda side: side.order)
        if best.span < best.spacing - SLACK:
            yield Trespass(RATIO, part, best.span, best.spacing, "mm")
        if best.face < best.length - SLACK:
            yield Trespass(FACE, part, best.face, best.length, "mm")


def _side(row: Row, rules: RuleBook) -> Side:
    _, span, reach, face, longest = row
    return Side(span, min(rules[RATIO] * reach, rules[MOST]), math.inf if face is None else face, rules[FACE] * longest)


def turning_points(rows: Rows, rules: RuleBook, rule: str) -> Iterator[TurningPoint]:
    """Yield where each side just keeps to the rule."""
    for part, span, reach, face, longest in rows:
        if rule == MOST:
            yield TurningPoint(span, SLACK, part)
        elif rule == RATIO and reach > 0:
            yield TurningPoint(span / reach, SLACK / reach, part)
        elif rule == FACE and face is not None and longest > 0:
            yield TurningPoint(face / longest, SLACK / longest, part)


KIND = LimitKind("sides", (RATIO, MOST, FACE), measure, judge, turning_points)
