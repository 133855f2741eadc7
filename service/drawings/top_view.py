"""The top view of one plan as an SVG drawing to scale: table, holes, parts, pieces, welds, contacts, sizes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape

from inventory.shapes import Point2
from inventory.tables import hole_label
from service.drawings.legend import WIDTH, contact_mark, legend
from service.drawings.scene import DrawnPiece, Scene, scene
from service.drawings.style import CAUTION, STYLE
from service.drawings.subject import Subject
from service.drawings.svg import element, path, text, titled

_DRAWING = 1080.0
_LEAST, _MOST = 0.45, 2.2
_EDGE = 56.0
_HEAD = 74.0


class _Sheet:
    """Millimetres on the table to points on the sheet: x to the right, y upwards."""

    def __init__(self, scene: Scene) -> None:
        self.x0, self.y0, self.x1, self.y1 = scene.window
        wide = self.x1 - self.x0
        self.scale = min(_MOST, max(_LEAST, _DRAWING / wide))
        self.width, self.height = wide * self.scale, (self.y1 - self.y0) * self.scale

    def at(self, point: Point2) -> Point2:
        """Return where a table point falls."""
        return _EDGE + (point[0] - self.x0) * self.scale, _HEAD + (self.y1 - point[1]) * self.scale

    def ring(self, ring: Iterable[Point2]) -> list[Point2]:
        """Return where a polyline falls."""
        return [self.at(point) for point in ring]


def as_svg(subject: Subject) -> str:
    """Return the top view of one alternative as an SVG document."""
    return top_view(scene(subject))


def top_view(scene: Scene) -> str:
    """Return the drawing as one SVG document; the same scene gives the same bytes."""
    sheet = _Sheet(scene)
    panel, panel_height = legend(scene, _EDGE + sheet.width + 36, _HEAD)
    width = _EDGE + sheet.width + 36 + WIDTH + 20
    height = max(_HEAD + sheet.height + 64, _HEAD + panel_height) + 30
    words = (
        f"Top view of {scene.weldment} on table {scene.table.id}: {len(scene.parts)} parts, {len(scene.welds)} welds, "
        f"{len(scene.pieces)} pieces of hardware. Every piece is listed with its hole, turn and setting."
    )
    body = [
        element("title", escape(f"{scene.weldment}: {scene.title}"), id="title"),
        element("desc", escape(words), id="desc"),
        element("style", STYLE),
        _clip(sheet),
        element("rect", class_="paper", width=width, height=height),
        text(scene.weldment, _EDGE, 32, "title"),
        text(scene.title, _EDGE, 54, "subtitle"),
        element(
            "g",
            _table(scene, sheet) + _bodies(scene, sheet) + _hidden(scene, sheet) + _welds(scene, sheet),
            clip_path="url(#window)",
        ),
        "".join(
            contact_mark(mark.mark, sheet.at(mark.at), mark.normal, _mark_size(sheet))
            for mark in scene.marks
            if mark.mark != "rests"
        ),
        _piece_labels(scene, sheet),
        _part_labels(scene, sheet),
        _sizes(scene, sheet),
        _lattice_labels(scene, sheet),
        panel,
        text(CAUTION, _EDGE, height - 14, "caution"),
    ]
    size = {"width": round(width), "height": round(height), "viewBox": f"0 0 {width:g} {height:g}"}
    return (
        element("svg", "\n".join(body), xmlns="http://www.w3.org/2000/svg", role="img", aria_labelledby="title desc", **size)
        + "\n"
    )


def _mark_size(sheet: _Sheet) -> float:
    return max(5.0, min(9.0, 5.5 * sheet.scale))


def _clip(sheet: _Sheet) -> str:
    window = element("rect", x=_EDGE, y=_HEAD, width=sheet.width, height=sheet.height)
    return element("defs", element("clipPath", window, id="window"))


def _holes(scene: Scene) -> Iterable[tuple[tuple[int, int], Point2]]:
    """Yield every hole in the window with its centre."""
    table, (x0, y0, x1, y1) = scene.table, scene.window
    for column in range(table.columns):
        x = table.first[0] + table.pitch * column
        for row in range(table.rows) if x0 <= x <= x1 else ():
            y = table.first[1] + table.pitch * row
            if y0 <= y <= y1:
                yield (column, row), (x, y)


def _table(scene: Scene, sheet: _Sheet) -> str:
    (left, bottom), (right, top) = sheet.at((0, 0)), sheet.at(scene.table.size)
    drawn = [
        element("rect", class_="floor", x=_EDGE, y=_HEAD, width=sheet.width, height=sheet.height),
        element("rect", class_="table", x=left, y=top, width=right - left, height=bottom - top),
    ]
    radius = scene.table.hole_diameter / 2 * sheet.scale
    for hole, centre in _holes(scene):
        x, y = sheet.at(centre)
        if hole in scene.table.blocked_holes:
            cross = [[(x - radius, y - radius), (x + radius, y + radius)], [(x - radius, y + radius), (x + radius, y - radius)]]
            drawn.append(titled("g", path(cross, "blocked", closed=False), f"hole {hole_label(hole)}, blocked"))
        else:
            drawn.append(element("circle", class_="hole", cx=x, cy=y, r=radius))
    return "".join(drawn)


def _lattice_labels(scene: Scene, sheet: _Sheet) -> str:
    """Return column letters under the window and row numbers left of it, thinned out where they would touch."""
    columns = sorted({hole[0]: x for hole, (x, _) in _holes(scene)}.items())
    rows = sorted({hole[1]: y for hole, (_, y) in _holes(scene)}.items())
    every = max(1, round(24 / (scene.table.pitch * sheet.scale) + 0.49))
    below = _HEAD + sheet.height + 16
    drawn = [
        text(hole_label((column, 0))[:-1], sheet.at((x, 0))[0], below, "lattice", text_anchor="middle")
        for column, x in columns
        if column % every == 0
    ]
    drawn += [
        text(str(row + 1), _EDGE - 8, sheet.at((0, y))[1] + 4, "lattice", text_anchor="end")
        for row, y in rows
        if row % every == 0
    ]
    return "".join(drawn)


def _bodies(scene: Scene, sheet: _Sheet) -> str:
    """Return parts and pieces, the lower ones first."""
    drawn: list[tuple[float, str]] = []
    for part in scene.parts:
        outlines = "".join(path([sheet.ring(ring) for ring in shape.rings], "part") for shape in part.shapes)
        drawn.append((max(shape.high for shape in part.shapes), titled("g", outlines, f"part {part.id}")))
    for piece in scene.pieces:
        words = f"{piece.id}: {piece.name}, {piece.place}, turn {piece.turn:g} degrees"
        for shape in piece.shapes:
            outline = path([sheet.ring(ring) for ring in shape.rings], piece.purpose)
            drawn.append((shape.high, titled("g", outline, words)))
    return "".join(shape for _, shape in sorted(drawn, key=lambda entry: entry[0]))


def _hidden(scene: Scene, sheet: _Sheet) -> str:
    """Return dashed outlines of pieces that reach under a part, as drawings show hidden edges."""
    over = [shape for part in scene.parts for shape in part.shapes]
    under = [shape for piece in scene.pieces for shape in piece.shapes if any(shape.reaches_under(part) for part in over)]
    return "".join(path([sheet.ring(ring) for ring in shape.rings], "hidden") for shape in under)


def _welds(scene: Scene, sheet: _Sheet) -> str:
    drawn = []
    for weld in scene.welds:
        line = [sheet.ring(weld.path)]
        bead = path(line, "casing", closed=False) + path(line, "weld", closed=False)
        if all(math.dist(point, line[0][0]) < 2 for point in line[0]):  # upright: seen end on
            bead = element("circle", class_="upright", cx=line[0][0][0], cy=line[0][0][1], r=4.5)
        drawn.append(titled("g", bead, f"weld {weld.id}"))
    return "".join(drawn)


def _piece_labels(scene: Scene, sheet: _Sheet) -> str:
    """Return the pieces' ids where they stand; a stack shows its ids one under another."""
    stacks: dict[Point2, list[DrawnPiece]] = {}
    for piece in scene.pieces:
        stacks.setdefault((round(piece.origin[0], 1), round(piece.origin[1], 1)), []).append(piece)
    drawn = []
    for origin, stack in stacks.items():
        x, y = sheet.at(origin)
        lines = [piece.id for piece in reversed(stack)]
        wide, high = 7.2 * max(map(len, lines)) + 8, 13.0 * len(lines) + 3
        drawn.append(element("rect", class_="tag", x=x - wide / 2, y=y - high / 2, width=wide, height=high, rx=4.0))
        for index, line in enumerate(lines):
            drawn.append(text(line, x, y - high / 2 + 12 + 13 * index, "id", text_anchor="middle"))
    return "".join(drawn)


def _part_labels(scene: Scene, sheet: _Sheet) -> str:
    """Return each part's name along its middle line, where no higher part covers it and no tag is near; and the welds' names."""
    taken = [sheet.at(piece.origin) for piece in scene.pieces] + [sheet.at(mark.at) for mark in scene.marks]
    drawn = []
    for part in scene.parts:
        lowest = part.shapes[0]
        over = [shape for other in scene.parts if other is not part for shape in other.shapes if shape.high > lowest.high]
        spots = list(_spots(lowest.rings[0]))
        spot = max(spots, key=lambda at: (not any(shape.covers(*at) for shape in over), min(70.0, _nearest(sheet.at(at), taken))))
        x, y = sheet.at(spot)
        taken.append((x, y))
        drawn.append(text(part.id, x, y + 4, "part-id", text_anchor="middle"))
    for weld in scene.welds:
        x, y = _middle(sheet.ring(weld.path))
        drawn.append(text(weld.id, x + 7, y - 7, "weld-id"))
    return "".join(drawn)


def _spots(ring: Sequence[Point2]) -> Iterable[Point2]:
    """Yield points along the middle of an outline's longer side, mm."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    along = max(xs) - min(xs) >= max(ys) - min(ys)
    for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9):
        yield (_between(xs, share), _between(ys, 0.5)) if along else (_between(xs, 0.5), _between(ys, share))


def _between(values: list[float], share: float) -> float:
    return min(values) + share * (max(values) - min(values))


def _nearest(spot: Point2, taken: list[Point2]) -> float:
    return min((abs(spot[0] - x) + abs(spot[1] - y) for x, y in taken), default=1e9)


def _middle(line: list[Point2]) -> Point2:
    """Return the middle of a polyline's middle leg."""
    leg = (len(line) - 1) // 2
    return (line[leg][0] + line[leg + 1][0]) / 2, (line[leg][1] + line[leg + 1][1]) / 2


def _sizes(scene: Scene, sheet: _Sheet) -> str:
    """Return the weldment's overall sizes as dimension lines below and to the right of the window's parts."""
    x0, y0, x1, y1 = scene.part_box
    (left, bottom), (right, top) = sheet.at((x0, y0)), sheet.at((x1, y1))
    down, side = _HEAD + sheet.height + 36, _EDGE + sheet.width + 14
    lines = [
        [(left, bottom), (left, down + 5)],
        [(right, bottom), (right, down + 5)],
        [(right, bottom), (side + 5, bottom)],
        [(right, top), (side + 5, top)],
    ]
    arrows = path([[(left, down), (right, down)], [(side, top), (side, bottom)]], "size", closed=False)
    heads = "".join(
        path([[tip, (tip[0] + a, tip[1] + b), (tip[0] + c, tip[1] + d)]], "head")
        for tip, a, b, c, d in (
            ((left, down), 9, -3, 9, 3),
            ((right, down), -9, -3, -9, 3),
            ((side, top), -3, 9, 3, 9),
            ((side, bottom), -3, -9, 3, -9),
        )
    )
    middle = (top + bottom) / 2
    words = text(f"{x1 - x0:.1f}", (left + right) / 2, down + 16, "measure", text_anchor="middle")
    upright = text(
        f"{y1 - y0:.1f}", side + 14, middle, "measure", text_anchor="middle", transform=f"rotate(-90 {side + 14:g} {middle:g})"
    )
    return path(lines, "witness", closed=False) + arrows + heads + words + upright
