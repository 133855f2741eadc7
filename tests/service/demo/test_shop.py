"""The demo shop is sound: every document is read without a fault, every pad lies on its piece, toggle clamps pay on long runs."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from inventory.items import KINDS, Contact, Item
from inventory.shapes import Array, Prism
from service.command_line.demo import run_demo
from service.demo import MAIN_JOB, job_document, job_names, stock_document
from service.documents import read_request, read_stock
from service.drawings.formats import FORMATS
from service.drawings.projection import Silhouette
from solver.rule_book.book import RuleBook

SHOP = read_stock(stock_document())
RATE = RuleBook()["rate.labour_cents_per_hour"]


@pytest.mark.parametrize("name", job_names())
def test_every_job_is_read_without_a_fault_or_a_warning(name: str) -> None:
    request, warnings = read_request(job_document(name), SHOP)
    assert not warnings
    assert request.weldment.welds


def test_the_main_job_comes_first_and_is_a_long_run() -> None:
    assert job_names()[0] == MAIN_JOB
    assert read_request(job_document(MAIN_JOB), SHOP)[0].quantity == 300


def test_a_job_that_does_not_exist_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        job_document("../stock")


def test_the_shelf_has_every_kind_and_some_items_are_nearly_used_up() -> None:
    assert {item.kind for item in SHOP.items.values()} == set(KINDS)
    assert len(SHOP.tables) == 2
    assert any(SHOP.free(item) == 1 for item in SHOP.items)
    assert all(SHOP.free(item) > 0 for item in SHOP.items)


@pytest.mark.parametrize("item", SHOP.items.values(), ids=lambda item: item.id)
def test_every_pad_lies_on_the_surface_of_its_piece_and_faces_out(item: Item) -> None:
    for contact in item.contacts:
        inside = [solid for solid in item.solids if solid.moves == contact.moves]
        for point in pad_points(contact):
            normal = np.array(contact.normal)
            assert any(holds(solid.prism, point - 0.03 * normal) for solid in inside)
            assert not any(holds(solid.prism, point + 0.03 * normal) for solid in item.solids)


@pytest.mark.parametrize("item", [one for one in SHOP.items.values() if one.clamp], ids=lambda item: item.id)
def test_a_clamps_pad_is_at_the_near_end_of_its_reach(item: Item) -> None:
    assert item.clamp is not None
    assert item.contacts[0].at == item.clamp.reach[0]


def pad_points(contact: Contact) -> list[Array]:
    """Points all over a pad, just inside its edges."""
    normal = np.array(contact.normal, dtype=float)
    wide = np.array([1.0, 0, 0]) if abs(normal[2]) > 0.999 else np.cross([0, 0, 1], normal)
    wide = wide / np.linalg.norm(wide)
    high = np.cross(normal, wide)
    shares = (-0.49, 0.0, 0.49)
    return [np.array(contact.at) + a * contact.width * wide + b * contact.height * high for a in shares for b in shares]


def holds(prism: Prism, point: Array) -> bool:
    """Whether a prism contains a point."""
    u, v, w, _ = np.linalg.inv(np.array(prism.frame)) @ np.append(point, 1)
    return prism.start <= w <= prism.end and Silhouette((prism.outline, *prism.cutouts), 0, 1).covers(u, v)


@pytest.mark.parametrize(
    ("screw", "toggle"), [("screw-60", "toggle-60"), ("screw-120", "toggle-120"), ("screw-push", "toggle-push")]
)
def test_toggle_clamps_pay_on_a_long_run_and_lose_on_a_short_one(screw: str, toggle: str) -> None:
    def cents(item: Item, quantity: int) -> float:
        assert item.clamp is not None
        return item.day_rate_cents + quantity * (item.clamp.close_s + item.clamp.open_s) * RATE / 3600

    assert cents(SHOP.items[toggle], 300) < cents(SHOP.items[screw], 300)
    assert cents(SHOP.items[toggle], 2) > cents(SHOP.items[screw], 2)


def test_the_demo_names_the_jobs_there_are(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert run_demo("no-such-job", tmp_path) == 2
    assert "hinge-tab" in capsys.readouterr().err


def test_the_demo_leaves_plan_and_drawing_that_pass_the_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from service.documents import sound_plan_document
    from solver.checks import check

    assert run_demo("open-tab", tmp_path) == 0
    screen = capsys.readouterr().out
    request, _ = read_request((tmp_path / "open-tab.request.json").read_bytes(), SHOP)
    plan = sound_plan_document((tmp_path / "open-tab.plan.json").read_bytes())
    assert check(request, SHOP, plan).ok
    assert (tmp_path / "open-tab.svg").read_text().startswith("<svg")
    available = [format for format in FORMATS.values() if format.available]
    assert {f"open-tab{format.suffix}" for format in available} <= {path.name for path in tmp_path.iterdir()}
    assert "rank" in screen and "check it again: holdwright check" in screen


def test_the_demo_says_which_folder_it_cannot_make(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("")
    assert run_demo(out=tmp_path / "file" / "folder") == 2
    assert "accepted:" in capsys.readouterr().err
