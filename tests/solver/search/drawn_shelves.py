"""Searches of demo jobs on shelves drawn at random from the demo's, with arms, risers and rests, opened."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from service.demo import job_document, stock_document
from service.documents import read_request, read_stock
from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.search.search import Search

JOBS = ("hinge-tab", "tee", "angle-bracket")


def opened_on_a_drawn_shelf(seed: int) -> Search:
    """Return the search of a demo job on about half of the demo's items, its orientations on the table open."""
    draw = Random(seed)
    stock = read_stock(stock_document())
    request, _ = read_request(job_document(draw.choice(JOBS)), stock)
    kept = {item for item in sorted(stock.items) if item in ("arm-80", "rest-20", "rest-40") or draw.random() < 0.5}
    shelf = replace(stock, lines={item: line for item, line in stock.lines.items() if item in kept})
    request = replace(request, shortage="refuse")
    search = Search(request, shelf, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 1000.0))
    search.open()
    return search
