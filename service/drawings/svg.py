"""The few SVG elements the drawings need, with every text and attribute escaped."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from inventory.shapes import Point2


def element(tag: str, content: str = "", /, **attributes: object) -> str:
    """Return one element; underscores in attribute names become hyphens, ``class_`` becomes ``class``."""
    written = "".join(f" {name.rstrip('_').replace('_', '-')}={quoteattr(value(given))}" for name, given in attributes.items())
    return f"<{tag}{written}>{content}</{tag}>" if content else f"<{tag}{written}/>"


def value(given: object) -> str:
    """Return an attribute value; numbers with at most two decimals, so that equal plans give equal bytes."""
    return number(given) if isinstance(given, float) else str(given)


def number(given: float) -> str:
    """Return a number with at most two decimals and no negative zero."""
    text = f"{given:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def text(content: str, x: float, y: float, class_: str = "", **attributes: object) -> str:
    """Return a text element at (x, y)."""
    if class_:
        attributes = {"class_": class_, **attributes}
    return element("text", escape(content), x=float(x), y=float(y), **attributes)


def path(rings: Sequence[Sequence[Point2]], class_: str, *, closed: bool = True, **attributes: object) -> str:
    """Return one path of rings (closed) or polylines (open); cut-outs come out by the even-odd rule."""
    data = " ".join("M" + " L".join(f"{number(x)},{number(y)}" for x, y in ring) + ("Z" if closed else "") for ring in rings)
    return element("path", class_=class_, d=data, **attributes)


def titled(tag: str, content: str, title: str, **attributes: object) -> str:
    """Return an element that says what it is when pointed at or read aloud."""
    return element(tag, element("title", escape(title)) + content, **attributes)
