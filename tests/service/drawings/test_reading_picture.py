"""What was read of a file, drawn."""

from __future__ import annotations

from dataclasses import replace

from service.drawings.paper.marks import Group, Mark, words_of
from service.drawings.weldment.in_space import weldment_in_space
from service.drawings.weldment.reading_picture import reading_picture, reading_svg
from service.drawings.weldment.shown_weldment import ShownWeldment
from service.exchange.weldments.weldment_reading import ReadBody, Remark, WeldmentReading
from solver.sections import Section
from solver.weldment import Part, Pose
from tests.service.exchange.weldments.child import small_reader

READING = WeldmentReading("step", "AP242", "mm", "gate", small_reader.PARTS, small_reader.BODIES)


def test_every_part_is_named_and_what_is_no_part_has_its_box_and_its_reason() -> None:
    picture = reading_picture(READING)
    said = [words.text for words in words_of(picture.marks)]
    assert {"gate", "in space", "from above", "from the front", "from the right", "post", "lug", "? handle"} <= {*said}
    assert said[-1] == "3 handle: not recognised: bent"
    assert all(words.box.within(picture.page) for words in picture.words)
    assert reading_svg(READING).count("at-fault") > 4


def test_a_box_without_bounds_leaves_the_rest_to_be_seen() -> None:
    far = ReadBody(3, "far", "not_recognised", None, "", None, (Remark("a", "b"),), ((0, 0, 0), (1e308, 1, 1)))
    assert reading_picture(replace(READING, bodies=(far,))).width == reading_picture(READING).width
    nothing = replace(READING, parts=(), bodies=())
    assert "gate" in reading_svg(nothing)


def test_what_stands_before_something_is_drawn_after_it() -> None:
    bar = Section("flat_bar", width=40, thickness=10)
    long = Part("long", bar, 1000, Pose((0, 0, 5), (1, 0, 0), (0, 0, 1)))
    on_its_far_end = Part("upright", bar, 50, Pose((20, 10, 10), (0, 0, 1), (0, 1, 0)))
    in_front = Part("front", bar, 300, Pose((300, -40, 5), (1, 0, 0), (0, 0, 1)))
    cut = replace(long, id="cut", pose=Pose((0, 100, 5), (1, 0, 0), (0, 0, 1)), cuts=small_reader.mitre(1000))
    parts = (on_its_far_end, in_front, long, cut)
    shown = ShownWeldment("", "mm", tuple(enumerate(parts)))
    order = [mark.title for mark in groups(weldment_in_space(shown, (100.0, 60.0)).marks)][:4]
    assert order == ["part cut", "part long", *sorted(["part upright", "part front"], key=order.index)]


def groups(marks: tuple[Mark, ...]) -> list[Group]:
    return [mark for mark in marks if isinstance(mark, Group)]
