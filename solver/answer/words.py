"""What an alternative is called, and how it differs from the cheapest."""

from __future__ import annotations

from collections import Counter

from solver.plan import Alternative


def title(rank: int) -> str:
    """Return an alternative's title."""
    return "cheapest" if rank == 1 else f"alternative {rank}"


def differs(alternative: Alternative, earlier: list[Alternative]) -> str:
    """Return one line saying how an alternative differs from the cheapest."""
    if not earlier:
        return ""
    first = earlier[0]
    said = []
    if alternative.table != first.table:
        said.append(f"on table {alternative.table}")
    if alternative.down != first.down:
        said.append(f"lies with {alternative.down} down")
    used = Counter(p.item for p in alternative.placements)
    base = Counter(p.item for p in first.placements)
    more, fewer = used - base, base - used
    if more:
        said.append("takes " + ", ".join(f"{count} {item}" for item, count in sorted(more.items())))
    if fewer:
        said.append("saves " + ", ".join(f"{count} {item}" for item, count in sorted(fewer.items())))
    if not more and not fewer:
        said.append("the same pieces against other faces")
    seconds = alternative.setup_s - first.setup_s
    if seconds:
        said.append(f"{abs(seconds) / 60:.1f} min {'longer' if seconds > 0 else 'shorter'} per setup")
    cycle = alternative.cycle_s - first.cycle_s
    if cycle:
        said.append(f"{abs(cycle)} s {'longer' if cycle > 0 else 'shorter'} per weldment")
    return "; ".join(said)
