"""What tests of the whole service share."""

from __future__ import annotations

import time

import pytest


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The time of day, which stands still unless the test turns it; at first the full minute."""
    at = [1_800_000_000.0]
    monkeypatch.setattr(time, "time", lambda: at[0])
    return at
