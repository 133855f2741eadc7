"""Every command of the documentation runs, every JSON is read by the product, every excerpt is part of the real answer."""

from __future__ import annotations

import contextlib
import json
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.demo import stock_document
from service.documents import SCHEMAS, read_plan, read_request, read_stock
from tests.commands import holdwright
from tests.documents.pages import PAGES, ROOT, Block, blocks, contained

TIMEOUT_S = 150
LONG = tuple(
    ROOT / "docs" / name
    for name in ("how-to.md", "answer.md", "api.md", "stock.md", "webhooks.md", "operate.md", "quotes.md", "rule-books.md")
)
DEMONSTRATED: dict[tuple[str, ...], subprocess.CompletedProcess[str]] = {}
COMMAND = re.compile(r"holdwright (?P<words>[^$&|;<>`*?~\\]+)(?: > (?P<file>[\w.]+))?")


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """A folder that keeps a page's files; what the page's commands leave running, a server, ends with the page."""
    for name in ("service", "docs"):
        (tmp_path / name).symlink_to(ROOT / name)
    yield tmp_path
    for process in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):  # it has ended meanwhile, or is somebody else's
            if (process / "cwd").readlink() == tmp_path:
                os.kill(int(process.name), signal.SIGTERM)


@pytest.mark.parametrize("page", [page for page in PAGES if page not in LONG], ids=lambda page: page.name)
def test_a_page_does_what_it_says(page: Path, folder: Path) -> None:
    for block in blocks(page):
        follow(block, folder)


@pytest.mark.slow
@pytest.mark.parametrize("page", LONG, ids=lambda page: page.name)
def test_a_long_page_does_what_it_says(page: Path, folder: Path) -> None:
    for block in blocks(page):
        follow(block, folder)


def follow(block: Block, folder: Path) -> None:
    """Do what a block says, in a folder that keeps the page's files."""
    if block.word == "not run":
        assert len(block.value) > 10, f"{block.where}: say why it is not run"
    elif block.kind == "sh":
        expected = 0 if block.word != "exits" else int(block.value)
        *before, last = commands(block.text, folder)
        assert all(done.returncode == 0 for done in before)
        assert last.returncode == expected, f"{block.where}: exit {last.returncode}\n{last.stdout}\n{last.stderr}"
    elif block.kind == "python":
        done = run([sys.executable, "-W", "error", "-c", block.text], folder)
        assert done.returncode == 0, f"{block.where}:\n{done.stderr}"
    elif block.kind == "json":
        document = json.loads(block.text)
        if block.word == "part of":
            whole = json.loads((folder / block.value).read_text())
            assert contained(document, whole), f"{block.where}: not part of {block.value}"
        else:
            read(block, document)
        if block.word == "file":
            (folder / block.value).write_text(block.text)
    else:
        assert block.kind == "text", f"{block.where}: name the kind of block: sh, json, python, text"
        if block.word == "file":
            (folder / block.value).write_text(block.text)


def commands(text: str, folder: Path) -> Iterator[subprocess.CompletedProcess[str]]:
    """Run a block of commands up to the first that fails; a shell is asked where there is more than `holdwright`, words and `> FILE`."""
    found = [COMMAND.fullmatch(line) for line in text.replace("\\\n", " ").splitlines()]
    if not all(found):
        yield run(["sh", "-ec", text], folder)
        return
    for line in filter(None, found):
        words = shlex.split(line["words"])
        done = demonstrated(tuple(words), folder) if words[0] == "demo" else holdwright(*words, cwd=folder)
        if line["file"]:
            (folder / line["file"]).write_text(done.stdout, encoding="utf-8")
        yield done
        if done.returncode:
            return


def demonstrated(words: tuple[str, ...], folder: Path) -> subprocess.CompletedProcess[str]:
    """Leave in a folder what `holdwright demo` leaves; it asks for no file, so the same words are run once for all pages."""
    made = folder.parent / "-".join(("of", *words)).replace("/", "-")
    if words not in DEMONSTRATED:
        made.mkdir()
        DEMONSTRATED[words] = holdwright(*words, cwd=made)
    shutil.copytree(made, folder, dirs_exist_ok=True)
    return DEMONSTRATED[words]


def run(command: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    environment = dict(os.environ, PATH=f"{Path(sys.executable).parent}:{os.environ['PATH']}", PYTHONPATH=str(ROOT))
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, timeout=TIMEOUT_S, check=False)


def read(block: Block, document: dict[str, object]) -> None:
    """Read a complete document as the product does; a document without format says what it is in its comment."""
    name = str(document.get("format", "")).removeprefix("holdwright.").removesuffix("/1")
    if name == "request":
        read_request(block.text.encode(), read_stock(stock_document()))
    elif name == "plan":
        read_plan(block.text.encode())
    elif name in SCHEMAS:
        SCHEMAS[name].model_validate(document)
    elif "items" in document and "stock" in document:
        read_stock(block.text.encode())
    else:
        pytest.fail(f"{block.where}: neither a document of the product nor part of one")


def test_an_excerpt_must_agree_in_every_field() -> None:
    whole = {"status": "optimal", "alternatives": [{"rank": 1, "cost": {"total_cents": 5}}, {"rank": 2}]}
    assert contained({"alternatives": [{"cost": {"total_cents": 5}}]}, whole)
    assert not contained({"alternatives": [{"cost": {"total_cents": 6}}]}, whole)
    assert not contained({"alternatives": [{}, {}, {}]}, whole)
    assert not contained({"gap": 0}, whole)
