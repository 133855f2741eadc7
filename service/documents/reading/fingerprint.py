"""What documents are known by where nobody gave them a name: the first digits of a SHA-256."""

from __future__ import annotations

import hashlib
import json
from typing import Any

_DIGITS = 12


def plan_name(content: bytes) -> str:
    """Return what a plan file is known by: ``plan`` and twelve digits that change with any byte of it."""
    return f"plan {fingerprint(content)}"


def request_fingerprint(values: Any) -> str:
    """Return twelve digits of a request document, the same however its text is laid out and its fields are ordered.

    Parameters
    ----------
    values : dict
        The document's plain JSON values.
    """
    return fingerprint(json.dumps(values, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode())


def fingerprint(content: bytes) -> str:
    """Return the first twelve hexadecimal digits of the content's SHA-256."""
    return hashlib.sha256(content).hexdigest()[:_DIGITS]
