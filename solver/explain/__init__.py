"""Why it cannot be done: exact short answers, irreducible reasons, repairs that were tried, all as sentences."""

from solver.explain.asked_pieces import unavailable_pins
from solver.explain.confirmation import Confirmation, confirm, confirm_shut
from solver.explain.refusal import NoPlan, no_plan, refusal

__all__ = ["Confirmation", "NoPlan", "confirm", "confirm_shut", "no_plan", "refusal", "unavailable_pins"]
