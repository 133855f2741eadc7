"""One record for each profile shape: its sizes, its outlines, what makes no sense. Everything else asks the record.

Corner radii of cold-formed hollow sections follow EN 10219-2: outside 2.0, 2.5 or 3.0 x wall for wall <= 6, <= 10, > 10 mm;
inside = outside - wall.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from inventory import limits
from inventory.errors import Fault
from solver.sections.rings import Ring, circle, rounded

CIRCLE_SIDES = 48
LEAST_OPENING = 0.1
"""What a wall, leg or web leaves open is at least this, mm."""
Sizes = Mapping[str, float]
"""Sizes of a section by the documents' field names, mm; what was not given is not there."""


@dataclass(frozen=True, slots=True)
class Fineness:
    """How finely arcs are drawn: steps a corner, sides a circle."""

    corner_steps: int
    circle_sides: int


USUAL = Fineness(8, CIRCLE_SIDES)
FINE = Fineness(256, 8 * 256)
"""For section properties."""


def _no_cutouts(_sizes: Sizes, _fineness: Fineness) -> tuple[Ring, ...]:
    return ()


def _no_box(_sizes: Sizes) -> None:
    return None


def _no_faults(_sizes: Sizes) -> Iterator[Fault]:
    return iter(())


@dataclass(frozen=True, slots=True)
class Profile:
    """One profile shape.

    Parameters
    ----------
    sizes : tuple of str
        The sizes it needs, by field name.
    outer : callable
        Returns its outer outline, counter-clockwise; round ones circumscribe their circle. None: the outline is drawn by
        hand, and the thickness is the part's length.
    cutouts : callable
        Returns its cut-outs; round ones inscribe their circle.
    box : callable
        Returns outside width and height if the shape has four flat sides about its origin, None if not.
    thinnest : tuple of str
        The sizes of which the least is the thickness that a weld meets.
    faults : callable
        Yields sizes that are sound by themselves and absurd together.
    round : bool
        Whether it can spin about its own axis; its diameter is `diameter`.
    hollow : bool
        Whether it is closed around a hollow: nothing of a fixture goes inside, and a pad may meet the rim of its end.
    rounded : bool
        Whether its corners are rounded: by `corner_radius`, or as cold-formed from its wall.
    body : bool
        Whether it is the convex outer body around a part that is no profile: it takes up room and has no face of its own.
    """

    sizes: tuple[str, ...]
    outer: Callable[[Sizes, Fineness], Ring] | None
    cutouts: Callable[[Sizes, Fineness], tuple[Ring, ...]] = _no_cutouts
    box: Callable[[Sizes], tuple[float, float] | None] = _no_box
    thinnest: tuple[str, ...] = ()
    faults: Callable[[Sizes], Iterator[Fault]] = _no_faults
    round: bool = False
    hollow: bool = False
    rounded: bool = False
    body: bool = False


def cold_formed_radius(wall: float) -> float:
    """Return the outside corner radius of a cold-formed hollow section of this wall, mm (EN 10219-2, for properties)."""
    return wall * (2.0 if wall <= 6 else 2.5 if wall <= 10 else 3.0)


def outside_radius(sizes: Sizes) -> float:
    """Return the outside corner radius of a tube, mm: as given, else by its wall."""
    given = sizes.get("corner_radius")
    return cold_formed_radius(sizes["wall"]) if given is None else given


def _less(pointer: str, what: str, size: float, limit: float, of: str) -> Iterator[Fault]:
    if size > limit - LEAST_OPENING / 2:
        wrong = f"a {what} of {limits.plain(size)} mm leaves nothing of {of}, {limits.plain(limit)} mm"
        yield Fault(pointer, wrong, f"less than {limits.plain(limit)} mm")


def _tube(sizes: tuple[str, ...], box: Callable[[Sizes], tuple[float, float]]) -> Profile:
    """Return a four-sided hollow section with rounded corners."""

    def outer(given: Sizes, fineness: Fineness) -> Ring:
        return rounded(*box(given), outside_radius(given), fineness.corner_steps)

    def cutouts(given: Sizes, fineness: Fineness) -> tuple[Ring, ...]:
        (width, height), wall = box(given), given["wall"]
        inside = max(0.0, outside_radius(given) - wall)
        return (rounded(width - 2 * wall, height - 2 * wall, inside, fineness.corner_steps),)

    def faults(given: Sizes) -> Iterator[Fault]:
        half, radius = min(box(given)) / 2, outside_radius(given)
        walls = list(_less("/wall", "wall", given["wall"], half, "half the least side"))
        yield from walls
        if not walls and radius > half:
            by_rule = "" if "corner_radius" in given else ", by EN 10219-2 from the wall,"
            wrong = f"the outside radius {limits.plain(radius)} mm{by_rule} is more than half the least side"
            yield Fault("/corner_radius", wrong, f"a corner_radius of 0 (sharp) to {limits.plain(half)} mm")

    return Profile(sizes, outer, cutouts, box, ("wall",), faults, hollow=True, rounded=True)


def _round_outline(given: Sizes, fineness: Fineness) -> Ring:
    return circle(given["diameter"], fineness.circle_sides, circumscribe=True)


def _bore(given: Sizes, fineness: Fineness) -> tuple[Ring, ...]:
    return (circle(given["diameter"] - 2 * given["wall"], fineness.circle_sides, circumscribe=False),)


def _bore_faults(given: Sizes) -> Iterator[Fault]:
    yield from _less("/wall", "wall", given["wall"], given["diameter"] / 2, "half the diameter")


def _angle_outline(given: Sizes, _fineness: Fineness) -> Ring:
    a, b, t = given["leg_a"], given["leg_b"], given["thickness"]
    return ((0.0, 0.0), (a, 0.0), (a, t), (t, t), (t, b), (0.0, b))


def _angle_faults(given: Sizes) -> Iterator[Fault]:
    yield from _less("/thickness", "thickness", given["thickness"], min(given["leg_a"], given["leg_b"]), "the shorter leg")


def _channel_outline(given: Sizes, _fineness: Fineness) -> Ring:
    h, f, w, t = given["height"] / 2, given["flange"], given["web"], given["flange_thickness"]
    return ((0.0, -h), (f, -h), (f, t - h), (w, t - h), (w, h - t), (f, h - t), (f, h), (0.0, h))


def _channel_faults(given: Sizes) -> Iterator[Fault]:
    yield from _less("/web", "web", given["web"], given["flange"], "the flange")
    yield from _less("/flange_thickness", "flange", given["flange_thickness"], given["height"] / 2, "half the height")


def _bar_box(given: Sizes) -> tuple[float, float]:
    return given["width"], given["thickness"]


def _bar_outline(given: Sizes, fineness: Fineness) -> Ring:
    return rounded(*_bar_box(given), 0.0, fineness.corner_steps)


PROFILES: Mapping[str, Profile] = {
    "square_tube": _tube(("width", "wall"), lambda given: (given["width"], given["width"])),
    "rect_tube": _tube(("width", "height", "wall"), lambda given: (given["width"], given["height"])),
    "round_tube": Profile(
        ("diameter", "wall"),
        _round_outline,
        _bore,
        thinnest=("wall",),
        faults=_bore_faults,
        round=True,
        hollow=True,
    ),
    "angle": Profile(
        ("leg_a", "leg_b", "thickness"),
        _angle_outline,
        thinnest=("thickness",),
        faults=_angle_faults,
    ),
    "channel": Profile(
        ("height", "flange", "web", "flange_thickness"),
        _channel_outline,
        thinnest=("web", "flange_thickness"),
        faults=_channel_faults,
    ),
    "flat_bar": Profile(("width", "thickness"), _bar_outline, box=_bar_box, thinnest=("thickness",)),
    "round_bar": Profile(("diameter",), _round_outline, thinnest=("diameter",), round=True),
    "plate": Profile((), None),
    "body": Profile((), None, body=True),
}
"""Every shape by its name; a part's section has one of them."""
