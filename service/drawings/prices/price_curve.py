"""A weldment's price over quantity as SVG: the lot and one piece, by fixture, by hand and in a dedicated fixture."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from service.drawings.paper.lettering import LARGE, NORMAL, fitted
from service.drawings.paper.marks import Box, Mark, Picture, TextLine, rectangle
from service.drawings.paper.style import STYLE, STYLE_BY_NIGHT
from service.drawings.paper.svg import as_svg
from service.drawings.prices.chart import Curve, MarkedQuantity, Scale, chart
from service.palette import BY_NIGHT, COLOURS
from solver.quotes import BreakEven, Envelope, PriceBasis
from solver.quotes.envelope import LARGEST

_WIDE, _HIGH = 210.0, 190.0
_LOT, _PIECE = Box(24, 26, 166, 98), Box(24, 108, 166, 174)
_STEPS = 160


def price_curve(
    weldment: str, known: Envelope, basis: PriceBasis, quantities: Sequence[int], crossing: BreakEven | None, currency: str
) -> str:
    """Return the drawing as SVG, which a viewer shows dark on light or light on dark.

    Parameters
    ----------
    known : Envelope
        At least one kit is known.
    quantities : sequence of int
        Those that were asked for, which are marked.
    crossing : BreakEven or None
        Where the other ways cross, if that was asked for.
    """
    return as_svg(picture(weldment, known, basis, quantities, crossing, currency), _style())


def picture(
    weldment: str, known: Envelope, basis: PriceBasis, quantities: Sequence[int], crossing: BreakEven | None, currency: str
) -> Picture:
    """Return the drawing."""
    last = _last(known, quantities, crossing)
    across = Scale(1.0, float(last), _LOT.left, _LOT.right)
    sampled = sorted({max(1, min(last, round(last ** (k / _STEPS)))) for k in range(_STEPS + 1)} | _changes(known, last))
    ways = basis.other_ways

    def fixture(quantity: int) -> float:
        kit = known.kit(quantity)
        return 0.0 if kit is None else float(kit.money(quantity, basis.rate))

    def dedicated(quantity: int) -> float:
        kit = known.kit(quantity)
        return 0.0 if kit is None else float(ways.dedicated(quantity, kit))

    def by_hand(quantity: int) -> float:
        return float(ways.by_hand(quantity) or 0)

    drawn: list[tuple[str, str, Callable[[int], float]]] = [("dedicated fixture", "chart-dedicated", dedicated)]
    if ways.by_hand_each is not None:
        drawn.append(("marked out by hand", "chart-by-hand", by_hand))
    drawn.append(("modular fixture", "chart-fixture", fixture))
    lots = [Curve(name, style, tuple((q, of(q)) for q in sampled)) for name, style, of in drawn]
    pieces = [Curve(curve.name, curve.style, tuple((q, cents / q) for q, cents in curve.points)) for curve in lots]
    asked = sorted(set(quantities))
    unit = f", {currency}" if currency else ""
    marks: list[Mark] = [
        rectangle(Box(0, 0, _WIDE, _HIGH), "paper"),
        TextLine(fitted(weldment or "weldment", LARGE, _WIDE - 20, True), (10, 12), size=LARGE, bold=True),
        *chart(_LOT, f"the lot{unit}", lots, _moments(known, crossing, last), [(q, fixture(q)) for q in asked], across, False),
        *chart(_PIECE, f"one weldment{unit}", pieces, [], [(q, fixture(q) / q) for q in asked], across, True),
        TextLine("quantity", ((_PIECE.left + _PIECE.right) / 2, _PIECE.bottom + 9), "quiet", NORMAL, "middle"),
    ]
    said = "; ".join(f"{q:,}: {fixture(q) / 100:,.2f}" for q in asked)
    title = f"{weldment or 'weldment'}: price over quantity"
    return Picture(_WIDE, _HIGH, tuple(marks), title, f"Price of the lot by quantity: {said}.")


def _last(known: Envelope, quantities: Sequence[int], crossing: BreakEven | None) -> int:
    """Return the largest quantity that is drawn: beyond all that is marked, a round one."""
    marked = [*quantities, *(piece.first for piece in known.pieces), *(crossing.beside if crossing else ())]
    beyond = 3 * max([*quantities, *(each for each in marked if each <= 100 * max(quantities))])
    power: int = 10 ** math.floor(math.log10(beyond))
    return max(10, min(LARGEST, math.ceil(beyond / power) * power))


def _changes(known: Envelope, last: int) -> set[int]:
    return {each for piece in known.pieces for each in (piece.first, piece.last) if each <= last} | {last}


def _moments(known: Envelope, crossing: BreakEven | None, last: int) -> list[MarkedQuantity]:
    found = [
        MarkedQuantity(piece.first, f"from {piece.first:,} on: {piece.kit.cycle_s} s a cycle", True)
        for piece in known.pieces[1:] if piece.first <= last
    ]  # fmt: skip
    if crossing is not None and isinstance(crossing.by_hand_from, int) and crossing.by_hand_from <= last:
        found.append(MarkedQuantity(crossing.by_hand_from, f"beats marking out from {crossing.by_hand_from:,} on", False))
    if crossing is not None and isinstance(crossing.dedicated_up_to, int) and crossing.dedicated_up_to <= last:
        found.append(MarkedQuantity(crossing.dedicated_up_to, f"beats a dedicated one up to {crossing.dedicated_up_to:,}", False))
    return found


def _style() -> str:
    night = {**COLOURS, **BY_NIGHT}
    return f"{STYLE}\n{_lines(COLOURS)}\n@media (prefers-color-scheme:dark){{{STYLE_BY_NIGHT}\n{_lines(night)}}}"


def _lines(named: Mapping[str, str]) -> str:
    return (
        f".chart-ground{{fill:{named['plate']};stroke:{named['slate']};stroke-width:.18}}"
        f".chart-rule{{stroke:{named['mist']};stroke-width:.13}}.chart-decade{{stroke:{named['mist']};stroke-width:.3}}"
        f".chart-moment{{fill:none;stroke:{named['slate']};stroke-width:.25;stroke-dasharray:1.2 .8}}"
        f".chart-fixture{{fill:none;stroke:{named['petrol']};stroke-width:.9}}"
        f".chart-by-hand{{fill:none;stroke:{named['madder']};stroke-width:.5;stroke-dasharray:2.4 1}}"
        f".chart-dedicated{{fill:none;stroke:{named['umber']};stroke-width:.5;stroke-dasharray:.8 .8}}"
    )
