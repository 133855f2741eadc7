"""A sheet's file name is safe on every system and keeps the weldment's name."""

from __future__ import annotations

import pytest

from service.http.sheets.file_name import disposition


@pytest.mark.parametrize(
    ("weldment", "header"),
    [
        ("hinge post", 'attachment; filename="hinge post, rank 2.dxf"'),
        ("", 'attachment; filename="weldment, rank 2.dxf"'),
        ("../../etc/passwd", 'attachment; filename="-..-etc-passwd, rank 2.dxf"'),
        ('a"; filename=b\r\nX: y', 'attachment; filename="a-; filename=bX- y, rank 2.dxf"'),
        ("Träger", "attachment; filename=\"Trager, rank 2.dxf\"; filename*=UTF-8''Tr%C3%A4ger%2C%20rank%202.dxf"),
        ("角", "attachment; filename=\"weldment, rank 2.dxf\"; filename*=UTF-8''%E8%A7%92%2C%20rank%202.dxf"),
        ("50% off", 'attachment; filename="50- off, rank 2.dxf"'),
    ],
)
def test_a_name_is_kept_as_far_as_it_is_safe(weldment: str, header: str) -> None:
    assert disposition(weldment, 2, ".dxf", "image/vnd.dxf") == header


def test_a_long_name_is_cut_and_the_header_is_ascii() -> None:
    header = disposition("🔩" * 200, 1, ".pdf", "application/pdf")
    assert header.startswith("inline; ") and header.isascii() and len(header) < 1200
    assert header.count("%F0%9F%94%A9") == 80


def test_what_a_browser_shows_is_shown_and_other_files_are_saved() -> None:
    shown = ("application/pdf", "image/svg+xml", "text/html; charset=utf-8", "text/plain; charset=utf-8")
    assert all(disposition("x", 1, ".a", media).startswith("inline") for media in shown)
    assert disposition("x", 1, ".csv", "text/csv; charset=utf-8").startswith("attachment")
