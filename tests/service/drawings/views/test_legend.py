"""The legend explains every mark once, within its width."""

from __future__ import annotations

import itertools

from service.drawings.views.legend import ENTRIES, legend


def test_every_entry_is_explained_and_none_lies_over_another() -> None:
    drawn = legend(190.0)
    said = [words.text for words in drawn.words]
    assert all(entry.words in said for entry in ENTRIES)
    assert all(words.box.within(drawn.page) for words in drawn.words)
    assert not any(a.box.meets(b.box) for a, b in itertools.combinations(drawn.words, 2))


def test_marks_are_told_apart_without_colour() -> None:
    """No two samples of marks are drawn of the same shapes: bodies of parts and hardware alone differ by their shade."""
    shapes = [
        repr([type(mark).__name__ + str(getattr(mark, "style", "")) + str(getattr(mark, "text", "")) for mark in entry.sample])
        for entry in ENTRIES
    ]
    assert len(set(shapes)) == len(shapes)
