"""Faults travel between processes as they are."""

from __future__ import annotations

import pickle

from inventory.errors import Fault, InvalidDocument
from service.errors import InvalidSource


def test_an_invalid_document_is_the_same_in_another_process() -> None:
    faults = (Fault("/parts", "no part is a plate", "a weldment with plates"),)
    for error in (InvalidDocument(faults), InvalidSource("frame.json", faults)):
        back = pickle.loads(pickle.dumps(error))
        assert isinstance(back, InvalidDocument)
        assert (back.faults, str(back)) == (faults, "/parts: no part is a plate")
