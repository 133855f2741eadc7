"""Which members a body of the planning routes may and must have."""

from __future__ import annotations

from typing import Any

from inventory.errors import Fault


def member_faults(document: Any, required: tuple[str, ...], optional: tuple[str, ...]) -> list[Fault]:
    """Return a fault for every member that is unknown or missing; required ones are documents of their own name."""
    if not isinstance(document, dict):
        return [Fault("", "is not an object", "an object with " + ", ".join(required + optional))]
    unknown = [name for name in document if name not in required + optional]
    missing = [name for name in required if name not in document]
    accepted = ", ".join(required + optional)
    return [Fault(f"/{name.replace('~', '~0').replace('/', '~1')}", "is not known here", accepted) for name in unknown] + [
        Fault(f"/{name}", "is missing", f"a holdwright.{name}/1 document") for name in missing
    ]
