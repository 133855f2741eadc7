"""Weldments of the demo shop as STEP, read again by the product: the same bodies where they were, told exact."""

from __future__ import annotations

import json

import numpy as np
import pytest

from service.demo import job_document
from service.documents.weldment import read_weldment
from service.drawings.weldment.weldment_step import weldment_step
from service.exchange.weldments.weldment_reading import ReadingOptions
from tests.drawn_weldments.same_body import corners_of

pytest.importorskip("OCP", reason="the extra `exchange` is not installed")


@pytest.mark.parametrize("name", ["braced-frame", "gable", "lipped-rail", "vee-lug"])
def test_every_part_comes_back(name: str) -> None:
    from service.exchange.weldments.step.reading import read_step

    drawn = read_weldment(json.loads(job_document(name))["weldment"])
    found = read_step(weldment_step(drawn), "frame", ReadingOptions())
    assert (found.name, found.dialect, found.units) == (drawn.name, "AP214", "mm")
    for part, read, body in zip(drawn.parts, found.parts, found.bodies, strict=True):
        assert body.outcome == "part" and body.deviation is not None and body.deviation.largest_mm < 1e-4
        assert read.id == part.id and read.section.round == part.section.round
        if part.section.round:
            assert (read.section.sizes, read.length) == (part.section.sizes, part.length)
            continue
        own, other = corners_of(part), corners_of(read)
        apart = np.linalg.norm(own[:, None] - other[None], axis=2)
        assert max(apart.min(axis=0).max(), apart.min(axis=1).max()) < 2e-3
