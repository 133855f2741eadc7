"""The release that is installed."""

from __future__ import annotations

from importlib.metadata import version


def release() -> str:
    """Return the installed release, such as 0.1.0."""
    return version("holdwright")
