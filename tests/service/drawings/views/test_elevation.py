"""A view from a side where a stack, a slant or parts on parts call for it, from where most stacks are seen."""

from __future__ import annotations

from dataclasses import replace

from service.drawings.scene import scene
from service.drawings.views.elevation import elevation, needs_elevation
from tests.service.drawings.example import alternative, subject
from tests.service.drawings.kept import kept

ROOM = (190.0, 80.0)


def test_stacks_and_parts_on_parts_need_one_and_flat_work_does_not() -> None:
    assert needs_elevation(scene(subject()))
    flat = replace(alternative(), placements=alternative().placements[:4])
    assert not needs_elevation(scene(subject(flat)))
    assert needs_elevation(scene(kept("hinge-lug")))


def test_heights_are_told_from_the_table() -> None:
    """The lug lies on a rail 50 high and is 20 high there; its support is met at 50, the clamp at 70."""
    said = {words.text for words in elevation(scene(kept("hinge-lug")), ROOM).words}
    assert {"0", "50", "70"} <= said


def test_it_is_drawn_from_the_side_that_shows_most_stacks() -> None:
    one = alternative()
    riser, stop = one.placements[4:]
    pieces = [*one.placements]
    for row, id in ((10, "x"), (12, "y"), (14, "z")):  # stacks one behind the other, as seen from the front
        up = ((1.0, 0.0, 0.0, 400.0), (0.0, 1.0, 0.0, 40.0 * row), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
        below = replace(riser, id=f"r{id}", hole=f"J{row}", solids=tuple(replace(s, frame=up) for s in riser.solids))
        lifted = tuple((*line[:3], at) for line, at in zip(up, (400.0, 40.0 * row, 40.0, 1.0), strict=True))
        above = replace(
            stop, id=f"s{id}", stands_on=f"r{id}", contacts=(), locates=(),
            solids=tuple(replace(s, frame=lifted) for s in stop.solids),
        )  # fmt: skip
        pieces += [below, above]
    drawn = elevation(scene(subject(replace(one, placements=tuple(pieces)))), ROOM)
    assert any(words.text == "from the right" for words in drawn.words)
