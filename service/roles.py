"""The roles an API key may have, and its states."""

from __future__ import annotations

from typing import Literal

Role = Literal["reader", "planner", "storekeeper", "engineer", "admin"]
ROLES: tuple[Role, ...] = ("reader", "planner", "storekeeper", "engineer", "admin")
KeyState = Literal["live", "expired", "revoked"]
