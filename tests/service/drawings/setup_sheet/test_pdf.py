"""The printed sheet: who has nothing else can set the table as the plan says; no text over another, none off the page."""

from __future__ import annotations

import re
from dataclasses import replace

import pypdfium2
import pytest

from service.drawings.placing_order import placing_order
from service.drawings.scene import scene
from service.drawings.setup_sheet import as_pdf
from service.drawings.setup_sheet.pdf import qr_code
from service.drawings.stacks import stacks
from service.drawings.subject import Paper, Subject
from tests.service.drawings.kept import AGAIN, LARGEST, SMALLER, kept, printed, renamed

PIECE = re.compile(
    r"^(?P<number>\d+) +(?P<id>\S+) +(?P<item>\S+), bin (?P<bin>\S+)\s+(?:in (?P<hole>[A-Z]+\d+)|on (?P<on>\S+)), "
    r"turned (?P<turn>[\d.]+)°(?:, set (?P<set>[\d.]+) mm)?\s*$",
    re.MULTILINE,
)
"""A step of the sheet as it is read: number, piece, item, bin, where, turn, setting."""


def document(name: str, paper: Paper = "a4") -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(printed(name, paper))


def texts(made: pypdfium2.PdfDocument) -> list[str]:
    return [page.get_textpage().get_text_range().replace("\r\n", "\n") for page in made]


@pytest.mark.parametrize("name", [*SMALLER, pytest.param(LARGEST, marks=pytest.mark.slow)])
def test_who_has_only_the_sheet_can_set_the_table(name: str) -> None:
    of = kept(name)
    read = [found.groupdict() for found in PIECE.finditer("\n".join(texts(document(name))))]
    bins = {line.item: line.bin for line in of.alternative.kit}
    ordered = {one.id: one for one in placing_order(of.alternative)}
    wanted = [
        {
            "number": str(piece.number), "id": piece.id, "item": piece.item, "bin": bins[piece.item], "hole": piece.hole,
            "on": piece.stands_on, "turn": f"{ordered[piece.id].turn:g}",
            "set": None if piece.setting_mm is None else f"{round(piece.setting_mm, 2):g}",
        }
        for stack in stacks(scene(of)) for piece in stack
    ]  # fmt: skip
    assert read == wanted
    placements = {one.id: (one.item, one.hole, one.stands_on) for one in of.alternative.placements}
    assert {one["id"]: (one["item"], one["hole"], one["on"]) for one in read} == placements
    turns = {one.id: one.turn for one in of.alternative.placements}
    assert {str(one["id"]): float(str(one["turn"])) for one in read} == pytest.approx(turns, abs=0.005)


@pytest.mark.parametrize(
    ("name", "paper"),
    [
        *((name, paper) for name in SMALLER for paper in ("a4", "letter")),
        (LARGEST, "a4"),
        pytest.param(LARGEST, "letter", marks=pytest.mark.slow),
    ],
)
def test_no_text_lies_over_another_and_none_leaves_the_page(name: str, paper: Paper) -> None:
    """As the boxes of the finished page's texts say."""
    for page in document(name, paper):
        wide, high = page.get_size()
        text = page.get_textpage()
        boxes = [text.get_rect(k) for k in range(text.count_rects())]
        assert all(left >= 0 and bottom >= 0 and right <= wide and top <= high for left, bottom, right, top in boxes)
        over = []
        for k, (left, bottom, right, top) in enumerate(boxes):
            for other in boxes[:k]:
                across, up = min(right, other[2]) - max(left, other[0]), min(top, other[3]) - max(bottom, other[1])
                if across > 0.4 and up > 0.4:  # points; letters of one word may touch
                    over.append((text.get_text_bounded(left, bottom, right, top), text.get_text_bounded(*other)))
        assert over == []


@pytest.mark.parametrize(("paper", "size"), [("a4", (595.276, 841.89)), ("letter", (612.0, 792.0))])
def test_pages_are_of_the_paper_asked_for(paper: Paper, size: tuple[float, float]) -> None:
    assert document("tee", paper)[0].get_size() == pytest.approx(size, abs=0.01)


@pytest.mark.parametrize("name", ["hinge-lug", "tee", "hinge-tab", "open-tab", "mitred-post", "vee-lug"])
def test_a_job_of_two_parts_takes_two_pages(name: str) -> None:
    assert len(kept(name).alternative.parts) == 2
    assert len(document(name)) == 2


def test_the_first_page_has_the_view_from_above_and_the_pick_list() -> None:
    first = texts(document("hinge-lug"))[0]
    assert "scale 1 :" in first and "Pick list" in first
    assert all(line.bin in first and line.item in first for line in kept("hinge-lug").alternative.kit)


def test_it_follows_the_order_of_the_hands() -> None:
    whole = "\n".join(texts(document("hinge-lug")))
    order = ["Pick list", "Place, in this order", "Load", "Tack, then weld", "Out", "First-article check", "Price", "Cautions"]
    places = [whole.index(f"\n{heading}\n") for heading in order]
    assert places == sorted(places)


def test_it_says_what_plan_it_is_of_and_of_what_versions() -> None:
    whole = "\n".join(texts(document("hinge-lug")))
    for words in ("https://shop.example/v1/plans/0f3a", "8c1d5e0b7a42", "version 41", "2027-02-26", "148.84 EUR"):
        assert words in whole


def test_a_re_plan_prints_its_changes_before_the_pieces() -> None:
    whole = "\n".join(texts(document(AGAIN)))
    assert whole.index("Change what stands") < whole.index("All pieces, as they stand then")
    assert "hole M6 is blocked" in whole and "Place, in this order" not in whole


@pytest.mark.parametrize(
    "name", ["W" * 200, "שלום עולם " * 20, "🔧" * 200, "*bold* #panic() $x$ \\ <a> `raw` = head", "+ list\u202e- @ref"],
    ids=["wide", "right to left", "emoji", "markup", "turned round"],
)  # fmt: skip
def test_names_are_data(name: str) -> None:
    made = pypdfium2.PdfDocument(as_pdf(renamed(kept("tee"), name)))
    assert len(made) <= 3
    assert len(PIECE.findall("\n".join(texts(made)))) == len(kept("tee").alternative.placements)


def test_markup_in_a_name_is_printed_as_it_is() -> None:
    whole = "\n".join(texts(pypdfium2.PdfDocument(as_pdf(renamed(kept("tee"), "*bold* #panic() $x$ <a> `raw`")))))
    assert "*bold* #panic() $x$ <a> `raw`" in whole


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert as_pdf(kept("tee")) == as_pdf(kept("tee"))


def test_a_plan_without_an_address_has_no_code() -> None:
    assert qr_code("") == "" and qr_code("plan 0123").startswith("<svg")


def test_names_of_items_are_data_too() -> None:
    of: Subject = kept("tee")
    kit = tuple(replace(line, name="a#b *c* _d_ $e$ " + "W" * 180) for line in of.alternative.kit)
    whole = "\n".join(texts(pypdfium2.PdfDocument(as_pdf(replace(of, alternative=replace(of.alternative, kit=kit))))))
    assert whole.count("a#b *c* _d_ $e$") == len(kit)
