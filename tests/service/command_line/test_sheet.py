"""`holdwright sheet`: any format there is, by its name or its ending; what is refused names what is accepted."""

from __future__ import annotations

import hashlib
import json
import re
from datetime import UTC, datetime

import pytest

from service.documents import read_plan, read_request, read_stock
from service.documents.reading.fingerprint import request_fingerprint
from service.drawings.formats import Format
from service.drawings.sheets.wanted_format import offered
from service.drawings.subject import Identity, Subject
from tests.commands import holdwright_bytes
from tests.service.command_line.conftest import Planned

ENDINGS = ", ".join(each.suffix for each in offered().values())
TO_STANDARD_OUTPUT = ("sheet", "bar.json", "plan.json", "--stock", "stock.json", "--out", "-", "--format")
every_format = pytest.mark.parametrize("format", offered().values(), ids=list(offered()))


def identity(planned: Planned) -> Identity:
    digits = hashlib.sha256((planned.folder / "plan.json").read_bytes()).hexdigest()[:12]
    plan = planned.document()
    written = datetime.fromtimestamp((planned.folder / "plan.json").stat().st_mtime, UTC).date()
    request = request_fingerprint(planned.document("bar"))
    return Identity(f"plan {digits}", request, plan["rules_version"], plan["stock_version"], written)


def subject(planned: Planned, rank: int = 1) -> Subject:
    stock = read_stock((planned.folder / "stock.json").read_bytes())
    request, _ = read_request((planned.folder / "bar.json").read_bytes(), stock)
    one = read_plan((planned.folder / "plan.json").read_bytes()).alternative(rank)
    assert one is not None
    return Subject(one, request, stock, identity(planned))


@every_format
def test_the_ending_says_which_format(planned: Planned, format: Format) -> None:
    file = planned.folder / f"setup{format.suffix.upper()}"
    done = planned.run("sheet", "--out", file, "--rank", 2)
    assert (done.returncode, done.stdout) == (0, ""), done.stderr
    assert file.read_bytes() == format.content(subject(planned, 2))


@every_format
def test_a_format_by_its_name_goes_to_any_file_and_to_standard_output(planned: Planned, format: Format) -> None:
    done = planned.run("sheet", "--out", "setup.bin", "--format", format.name)
    assert done.returncode == 0, done.stderr
    printed = holdwright_bytes(*TO_STANDARD_OUTPUT, format.name, cwd=planned.folder).stdout
    assert printed == (planned.folder / "setup.bin").read_bytes() == format.content(subject(planned))


def test_a_file_of_bytes_goes_through_a_pipe(planned: Planned) -> None:
    assert planned.program(*TO_STANDARD_OUTPUT, "pdf") == offered()["pdf"].content(subject(planned))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--out", "setup.xyz"), f"setup.xyz: no format ends in '.xyz'; accepted: one of {ENDINGS}; or any name with --format"),
        (("--out", "setup"), f"setup: its name has no ending; accepted: one of {ENDINGS}; or any name with --format"),
        (("--out", "-"), f"--format: is missing: standard output has no ending; accepted: one of {', '.join(offered())}"),
        (("--out", "a.svg", "--format", "xyz"), f"--format: there is no format 'xyz'; accepted: one of {', '.join(offered())}"),
        (("--out", "a.svg", "--paper", "a3"), "--paper: there is no paper 'a3'; accepted: one of a4, letter"),
        (("--out", "nowhere/a.svg"), "nowhere/a.svg: cannot be written there; accepted: a file name in a folder that exists"),
        (("--out", "a.svg", "--rank", "0"), "plan.json#/alternatives: there is no rank 0; accepted: one of the ranks 1, 2"),
    ],
)
def test_what_cannot_be_written_is_refused_with_what_could(planned: Planned, words: tuple[str, ...], said: str) -> None:
    done = planned.run("sheet", *words)
    assert (done.returncode, done.stderr, done.stdout) == (2, said + "\n", "")
    assert not (planned.folder / "a.svg").exists()


def test_a_plan_without_alternatives_leaves_no_file(planned: Planned) -> None:
    done = planned.run("sheet", "--out", "none.svg", plan="refused.json")
    assert done.returncode == 1 and "because: stop: 4 needed, 2 free" in done.stderr
    assert not (planned.folder / "none.svg").exists()


def test_a_sheet_needs_a_place_to_go(planned: Planned) -> None:
    done = planned.run("sheet")
    assert done.returncode == 2 and "--out" in done.stderr


def test_the_identity_changes_with_the_plan_and_not_with_the_layout_of_the_request(planned: Planned) -> None:
    found = identity(planned)
    assert re.fullmatch(r"plan [0-9a-f]{12}", found.plan) and re.fullmatch(r"[0-9a-f]{12}", found.request)
    document = planned.document("bar")
    turned = json.loads(json.dumps(dict(reversed(document.items())), indent=3))
    assert request_fingerprint(turned) == found.request != request_fingerprint({**document, "quantity": 4})
