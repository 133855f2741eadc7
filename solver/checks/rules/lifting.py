"""What is heavier than one person lifts: advice, never a reason to refuse."""

from __future__ import annotations

from collections.abc import Iterator

from solver.checks.scene.scene import Scene
from solver.plans import Finding


def check_lifting(scene: Scene) -> Iterator[Finding]:
    """Yield a finding for every part, and for the weldment, above the load one person lifts; it holds, and tells."""
    limit = scene.rules["lift.one_person_kg"]
    masses = {part.id: part.inertia.mass for part in scene.all_parts.values()}
    masses["weldment"] = sum(masses.values())
    for id, mass in masses.items():
        if mass > limit:
            text = f"{mass:.1f} kg is more than one person lifts: lift it with help"
            yield Finding("lift.one_person_kg", id, round(mass, 3), limit, "kg", True, text)
