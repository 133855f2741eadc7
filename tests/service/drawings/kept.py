"""Plans of the demo shop's and the benchmark's jobs as they were made once, for drawing without solving: rank 1 of each."""

from __future__ import annotations

import gzip
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

from inventory.shapes import Point2
from inventory.stock import StockSnapshot
from service.demo import job_document, job_names, stock_document
from service.documents import read_plan, read_request, read_stock
from service.drawings.drawing import drawing
from service.drawings.paper.marks import Group, Mark, Picture, Stroke
from service.drawings.setup_sheet import as_pdf
from service.drawings.setup_sheet.content import SetupSheet, setup_sheet
from service.drawings.subject import Identity, Paper, Subject
from solver.request import Request
from tests.benchmarks.shop import SHOP, request_of

PLANS = Path(__file__).parent / "plans"
AGAIN = "tee-again"
"""A re-plan: what stands, with a hole blocked."""
KEPT = tuple(sorted(path.name.removesuffix(".plan.json.gz") for path in PLANS.glob("*.plan.json.gz")))
LARGEST = "frame-20"
SMALLER = tuple(name for name in KEPT if name != LARGEST)
IDENTITY = Identity("https://shop.example/v1/plans/0f3a", "8c1d5e0b7a42", 1, 41, date(2027, 2, 26))


@cache
def kept(name: str) -> Subject:
    """Return a kept plan's rank 1 as it is drawn."""
    request, stock = _asked(name)
    plan = read_plan(json.loads(gzip.decompress((PLANS / f"{name}.plan.json.gz").read_bytes())))
    return Subject(plan.alternatives[0], request, stock, IDENTITY, "EUR")


@cache
def drawn(name: str) -> Picture:
    """Return a kept plan's drawing."""
    return drawing(kept(name))


@cache
def set_out(name: str) -> SetupSheet:
    """Return what a kept plan's setup sheet says."""
    return setup_sheet(kept(name))


@cache
def printed(name: str, paper: Paper = "a4") -> bytes:
    """Return a kept plan's setup sheet as PDF."""
    return as_pdf(replace(kept(name), paper=paper))


def _asked(name: str) -> tuple[Request, StockSnapshot]:
    shelf = read_stock(stock_document())
    if name in job_names():
        return read_request(job_document(name), shelf)[0], shelf
    if name == AGAIN:
        asked = gzip.decompress((PLANS / f"{name}.request.json.gz").read_bytes())
        return read_request(asked, shelf)[0], shelf
    return request_of(name), SHOP


def renamed(subject: Subject, name: str) -> Subject:
    """Return the same plan for a weldment of another name."""
    return replace(subject, request=replace(subject.request, weldment=replace(subject.request.weldment, name=name)))


def inched(subject: Subject) -> Subject:
    """Return the same plan for a weldment drawn in inches."""
    return replace(subject, request=replace(subject.request, weldment=replace(subject.request.weldment, units="inch")))


def each_line(marks: tuple[Mark, ...], visit: Callable[[Group, Stroke], None]) -> None:
    """Visit every path of a picture with the group it stands in."""
    for mark in marks:
        if isinstance(mark, Group):
            for inner in mark.marks:
                if isinstance(inner, Stroke):
                    visit(mark, inner)
            each_line(mark.marks, visit)


def corners(points: tuple[Point2, ...]) -> tuple[float, float, float, float]:
    """Return left, top, right, bottom of points."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
