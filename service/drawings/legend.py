"""The panel beside a drawing: what the marks mean, every piece with its hole, turn and setting, and what the hands do."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.shapes import Point2
from service.drawings.scene import DrawnPiece, Mark, Scene
from service.drawings.svg import element, path, text
from service.steps import STANDS, change_rows

WIDTH = 470.0
_LINE = 19.0
_LONGEST = 76
_COLUMNS = (("piece", 0.0), ("item", 46.0), ("where", 152.0), ("turn", 222.0), ("set", 262.0), ("does", 326.0))
_MEANINGS: tuple[tuple[Mark, str], ...] = (
    ("side", "side point"),
    ("end", "end point"),
    ("support", "support point"),
    ("clamp", "clamp tip"),
)


def legend(scene: Scene, x: float, y: float) -> tuple[str, float]:
    """Return the panel as SVG with its upper left corner at (x, y), and its height."""
    rows = [_swatches(), *_facts(scene)]
    body, at = [rows[0]], 3 * _LINE + 10
    for line in rows[1:]:
        body.append(text(line, 0, at, "fact"))
        at += _LINE
    at += 12
    body += [text(heading, left, at, "heading") for heading, left in _COLUMNS]
    body.append(element("line", class_="rule", x1=0.0, y1=at + 6, x2=WIDTH, y2=at + 6))
    for piece in sorted(scene.pieces, key=by_number):
        at += _LINE
        body += [
            text(cell, left, at, "strong" if left == 0 else "cell") for cell, left in zip(_cells(piece), _lefts(), strict=True)
        ]
    for heading, lines in (("loading", scene.load), ("from what stands", _changes(scene))):
        at += 2 * _LINE if lines else 0.0
        body += [text(heading, 0, at, "heading")] if lines else []
        for words in lines:
            at += _LINE
            body.append(text(_shortened(words, _LONGEST), 0, at, "cell"))
    whole, height = _whole_table(scene, at + 2 * _LINE)
    return element("g", "".join(body) + whole, transform=f"translate({x:g} {y:g})", class_="legend"), at + 2 * _LINE + height


def _changes(scene: Scene) -> Sequence[str]:
    """Return a re-plan's steps, a line each: ``1 move p3 stop-60: C7 to C9, 90° - hole C7 is blocked``."""
    if scene.changes is None:
        return ()
    found = []
    for number, do, piece, item, before, after, turn, setting, why in change_rows(scene.changes):
        how = ", ".join(word for word in (f"{turn}°" if turn else "", setting) if word)
        found.append(f"{number} {do} {piece} {item}: {before} to {after}{', ' if how else ''}{how} - {why}")
    return found or (STANDS,)


def by_number(piece: DrawnPiece) -> tuple[str, int]:
    """Return what pieces are ordered by, so that p2 comes before p10."""
    letters = piece.id.rstrip("0123456789")
    return letters, int(piece.id[len(letters) :] or 0)


def _lefts() -> list[float]:
    return [left for _, left in _COLUMNS]


def _cells(piece: DrawnPiece) -> Sequence[str]:
    setting = "" if piece.setting_mm is None else f"{piece.setting_mm:g} mm"
    return piece.id, piece.item, piece.place, f"{piece.turn:g}°", setting, _shortened(piece.duty)


def _whole_table(scene: Scene, top: float) -> tuple[str, float]:
    """Return the whole table in small, with the drawing's window and the parts on it, and its height."""
    long, short = scene.table.size
    scale = min(220.0 / long, 160.0 / short)

    def at(point: Point2) -> Point2:
        return point[0] * scale, top + 14 + (short - point[1]) * scale

    x0, y0, x1, y1 = scene.window
    corners = [(max(0.0, min(long, x)), max(0.0, min(short, y))) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
    drawn = text(f"table {scene.table.id}, {long:g} x {short:g} mm", 0, top + 6, "cell")
    drawn += element("rect", class_="table", x=0.0, y=top + 14, width=long * scale, height=short * scale)
    drawn += path([[at(corner) for corner in corners]], "hidden")
    drawn += "".join(path([[at(point) for point in shape.rings[0]]], "part") for part in scene.parts for shape in part.shapes)
    return drawn, 14 + short * scale


def _shortened(words: str, longest: int = 26) -> str:
    return words if len(words) <= longest else words[: longest - 1] + "…"


def _facts(scene: Scene) -> list[str]:
    x0, y0, x1, y1 = scene.part_box
    first = scene.table.first
    return [
        f"{scene.quantity} off · table {scene.table.id}, pitch {scene.table.pitch:g} mm · {scene.lie}",
        f"setup {scene.setup_s / 60:.1f} min · cycle {scene.cycle_s} s · total {scene.total}",
        f"weldment {x1 - x0:.1f} x {y1 - y0:.1f} mm; its lower left corner",
        f"lies {x0 - first[0]:.1f} right of and {y0 - first[1]:.1f} above the centre of hole A1",
    ]


def _swatches() -> str:
    """Return two lines of samples: bodies, then contact marks."""
    drawn = []
    for index, (kind, words) in enumerate(
        (("locator", "locates"), ("clamp", "clamps"), ("carrier", "carries"), ("part", "part"))
    ):
        left = index * 104.0
        drawn.append(element("rect", class_=kind, x=left, y=2.0, width=22.0, height=14.0))
        drawn.append(text(words, left + 28, 14, "cell"))
    for index, (mark, words) in enumerate(_MEANINGS):
        left = index * 118.0
        drawn.append(contact_mark(mark, (left + 11.0, 34.0), (0.0, 0.0) if mark == "clamp" else (0.0, 1.0)))
        drawn.append(text(words, left + 28, 38, "cell"))
    drawn.append(path([[(416.0, 9.0), (440.0, 9.0)]], "weld", closed=False) + text("weld", 446, 14, "cell"))
    return "".join(drawn)


def contact_mark(mark: Mark, at: Point2, push: Point2, size: float = 8.0) -> str:
    """Return the mark of one contact, px: triangles point into the part, a square is a support, a ringed dot a clamp tip."""
    x, y = at
    length = (push[0] ** 2 + push[1] ** 2) ** 0.5
    if mark in ("side", "end") and length > 0.1:
        ux, uy = push[0] / length, -push[1] / length
        foot = (x - ux * size * 1.5, y - uy * size * 1.5)
        corners = [
            (x, y),
            (foot[0] - uy * size * 0.7, foot[1] + ux * size * 0.7),
            (foot[0] + uy * size * 0.7, foot[1] - ux * size * 0.7),
        ]
        return path([corners], f"mark {mark}")
    if mark == "clamp":
        dot = element("circle", class_="mark tip", cx=x, cy=y, r=size * 0.75) + element(
            "circle", class_="dot", cx=x, cy=y, r=size * 0.28
        )
        if length > 0.1:
            dot += path([[(x, y), (x + push[0] / length * size * 2, y - push[1] / length * size * 2)]], "push", closed=False)
        return dot
    half = size * 0.55
    cross = path(
        [[(x - half, y - half), (x + half, y + half)], [(x - half, y + half), (x + half, y - half)]], "cross", closed=False
    )
    return element("rect", class_="mark support", x=x - half, y=y - half, width=2 * half, height=2 * half) + cross
