"""An outer body is told from a part wherever it is drawn: by its edges, its label and its title."""

from __future__ import annotations

from dataclasses import replace

from service.drawings.dxf.drawing import as_dxf
from service.drawings.models.bodies import bodies
from service.drawings.paper.marks import Group, Stroke
from service.drawings.scene import scene
from service.drawings.subject import Subject
from service.drawings.views.top_view import top_views
from service.drawings.weldment.flat_views import flat_view
from service.drawings.weldment.shown_weldment import ShownWeldment
from service.drawings.weldment.small_picture import small_picture
from solver.sections import Section
from tests import builders as b
from tests.service.drawings.example import question, subject
from tests.service.drawings.kept import each_line


def with_a_hull() -> Subject:
    """The plan with its second bar as an outer body."""
    asked = question()
    one, other = asked.weldment.parts
    hull = replace(other, section=Section("body", plate_outline=other.section.outline))
    weld = replace(asked.weldment.welds[0], in_fixture="none")
    return subject(request=replace(asked, weldment=replace(asked.weldment, parts=(one, hull), welds=(weld,))))


def test_on_paper_its_edges_are_dashed_and_its_name_says_what_it_is() -> None:
    picture = top_views(scene(with_a_hull()), (190.0, 150.0)).main
    styles: dict[str, str] = {}

    def keep(group: Group, line: Stroke) -> None:
        if "-body-" in group.id:
            styles.setdefault(group.title, line.style)

    each_line(picture.marks, keep)
    assert styles["part bar-1"] == "part" and styles["outer body bar-2, set and held by hand"] == "part outer"
    assert [words.text for words in picture.words].count("outer body") == 1


def test_other_programs_are_told_of_it() -> None:
    known = {body.name: body.facts.get("outer_body") for body in bodies(with_a_hull()) if body.material == "part"}
    assert known == {"bar-1": None, "bar-2": "yes"}
    drawn = as_dxf(with_a_hull())
    text = drawn.decode() if isinstance(drawn, bytes) else drawn
    assert text.count("outer body") == 1


def test_a_weldment_alone_shows_it_so() -> None:
    parts = (b.tube(), b.body(at=(90, 30, 0)))
    drawn = flat_view(ShownWeldment("", "mm", tuple(enumerate(parts))), "above")
    groups = {mark.about: mark for mark in drawn.marks if isinstance(mark, Group) and not mark.id.startswith("name")}
    (line,) = groups["part:1"].marks
    assert groups["part:1"].title == "outer body casting" and isinstance(line, Stroke) and line.style == "part outer"
    small = small_picture("", parts, ())
    assert small is not None and [mark.style for mark in small.marks if isinstance(mark, Stroke)] == ["part outer", "part"]
