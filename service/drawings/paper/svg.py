"""A picture as SVG: millimetres of paper, every text and attribute escaped, the same bytes every time."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from xml.sax.saxutils import escape, quoteattr

from inventory.shapes import Point2
from service.drawings.paper.marks import Disc, Group, Mark, Picture, Stroke, TextLine
from service.drawings.paper.style import STYLE


def as_svg(picture: Picture, style: str = STYLE) -> str:
    """Return a picture as one SVG document, a unit a millimetre, in the colours of a style sheet: those on paper, by default."""
    body = [element("title", escape(picture.title), id="title")] if picture.title else []
    body += [element("desc", escape(picture.description), id="desc")] if picture.description else []
    body += [element("style", style), *(_drawn(mark) for mark in picture.marks)]
    wide, high = number(picture.width), number(picture.height)
    labelled = " ".join(name for name, said in (("title", picture.title), ("desc", picture.description)) if said)
    return element(
        "svg", "\n".join(body), xmlns="http://www.w3.org/2000/svg", role="img",
        **({"aria_labelledby": labelled} if labelled else {}),
        width=f"{wide}mm", height=f"{high}mm", viewBox=f"0 0 {wide} {high}",
    ) + "\n"  # fmt: skip


def as_inline_svg(picture: Picture, id: str) -> str:
    """Return a picture as an element of a page, as wide as its place there, in the page's own colours.

    Its groups can be told apart by ``data-about``; their ids begin with the picture's, so that several fit one page.
    """

    def group(mark: Group) -> dict[str, object]:
        return {"id": f"{id}-{mark.id}", **({"data_about": mark.about} if mark.about else {})}

    named = [element("title", escape(picture.title), id=f"{id}-title")] if picture.title else []
    named += [element("desc", escape(picture.description), id=f"{id}-desc")] if picture.description else []
    said = {"aria_labelledby": f"{id}-title"} if picture.title else {}
    said |= {"aria_describedby": f"{id}-desc"} if picture.description else {}
    wide, high = number(picture.width), number(picture.height)
    body = "\n".join([*named, *(_drawn(mark, group) for mark in picture.marks)])
    return element("svg", body, id=id, class_="drawing", role="img", viewBox=f"0 0 {wide} {high}", **said)


def _own_id(mark: Group) -> dict[str, object]:
    return {"id": mark.id}


def _drawn(mark: Mark, group: Callable[[Group], dict[str, object]] = _own_id) -> str:
    if isinstance(mark, Stroke):
        return element("path", class_=mark.style, d=_data(mark.lines, mark.closed))
    if isinstance(mark, Disc):
        return element("circle", class_=mark.style, cx=mark.centre[0], cy=mark.centre[1], r=mark.radius)
    if isinstance(mark, TextLine):
        return _words(mark)
    title = element("title", escape(mark.title)) if mark.title else ""
    inner = "".join(_drawn(one, group) for one in mark.marks)
    if mark.clip is not None:  # an inner svg shows nothing outside its own box, and needs no id of its own for that
        x, y, wide, high = map(number, (mark.clip.left, mark.clip.top, mark.clip.width, mark.clip.height))
        inner = element("svg", inner, x=x, y=y, width=wide, height=high, viewBox=f"{x} {y} {wide} {high}")
    return element("g", title + inner, **group(mark))


def _words(words: TextLine) -> str:
    more: dict[str, object] = {} if words.anchor == "start" else {"text_anchor": words.anchor}
    if words.bold:
        more["font_weight"] = "bold"
    if words.upright:
        more["transform"] = f"rotate(-90 {number(words.at[0])} {number(words.at[1])})"
    return element(
        "text", escape(words.text), class_=words.style, x=words.at[0], y=words.at[1], font_size=words.size, **more
    )  # fmt: skip


def element(tag: str, content: str = "", /, **attributes: object) -> str:
    """Return one element; underscores in attribute names become hyphens, ``class_`` becomes ``class``."""
    written = "".join(f" {name.rstrip('_').replace('_', '-')}={quoteattr(value(given))}" for name, given in attributes.items())
    return f"<{tag}{written}>{content}</{tag}>" if content else f"<{tag}{written}/>"


def value(given: object) -> str:
    """Return an attribute value; numbers with at most three decimals, so that equal plans give equal bytes."""
    return number(given) if isinstance(given, float) else str(given)


def number(given: float) -> str:
    """Return a number with at most three decimals and no negative zero."""
    text = f"{given:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _data(lines: Iterable[Iterable[Point2]], closed: bool) -> str:
    end = "Z" if closed else ""
    return " ".join("M" + " L".join(f"{number(x)},{number(y)}" for x, y in points) + end for points in lines)
