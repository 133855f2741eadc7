"""Alternatives beside each other: rank, title, in what each is best, how it differs from the cheapest in the trade's words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from solver.answer.piece_words import Pieces, names_of, pieces_of
from solver.plans import Alternative, Finding, Trait

SAME = 1e-6
"""Measures this near are equal, relative where they are above 1."""
MINUTES_FROM_S = 30
FINEST_MM = 0.005
"""Alternatives whose locating errors differ by less read as equally true."""


def ranked(alternatives: Sequence[Alternative]) -> tuple[Alternative, ...]:
    """Return alternatives by price, of equal prices those found first ahead, with rank, title, traits and difference to match."""
    ordered = sorted(alternatives, key=lambda each: each.cost.total_cents)
    traits = _traits(ordered)
    names = names_of(line for each in ordered for line in each.kit)
    placed = []
    for rank, (each, own) in enumerate(zip(ordered, traits, strict=True), start=1):
        said = differs(each, ordered[0], names) if rank > 1 else ""
        placed.append(replace(each, rank=rank, traits=own, title=_title(rank, own, traits), differs=said))
    return tuple(placed)


def fewer(found: int, asked: int, *, complete: bool) -> Iterator[Finding]:
    """Yield that fewer kits were found than asked for, and whether more may exist."""
    if 0 < found < asked:
        kits = "kit" if found == 1 else "kits"
        every = "any other takes all pieces of one of them, or differs from it by fewer than alternatives.kit_pieces"
        why = every if complete else "the search ended before it had looked for more"
        text = f"{found} {kits} of {asked} asked for: {why}"
        yield Finding("alternatives.fewer", "plan", float(found), float(asked), "kits", True, text)


def taken_over(cents: int) -> Iterator[Finding]:
    """Yield that the bound leans on what an earlier plan proved (cents, 0: it does not): that was taken as given."""
    if cents:
        text = "what every fixture costs at least was taken over from an earlier plan, as the request gives it"
        yield Finding("plan.proved", "plan", float(cents), None, "cents", True, text)


BEST: Mapping[Trait, Callable[[Alternative], float | None]] = {
    "cheapest": lambda each: each.cost.total_cents,
    "fewest_pieces": lambda each: len(each.placements),
    "fastest_setup": lambda each: each.setup_s,
    "fastest_cycle": lambda each: each.cycle_s,
    "stiffest": lambda each: None if each.measures is None else -each.measures.stiffness_n_per_mm,
    "truest": lambda each: None if each.measures is None else each.measures.locating_error_mm,
    "spares_scarce": lambda each: None if each.measures is None else each.measures.scarcity,
}
"""What is least in the alternative that has a trait."""
TITLES: Mapping[Trait, str] = {
    "truest": "truest",
    "stiffest": "stiffest",
    "fewest_pieces": "fewest pieces",
    "fastest_setup": "fastest to set up",
    "fastest_cycle": "fastest cycle",
    "spares_scarce": "spares scarce pieces",
}
"""What an alternative is called that alone has a trait, the first that fits."""


def _traits(ordered: Sequence[Alternative]) -> list[tuple[Trait, ...]]:
    """Return in what each alternative is best of all; of several as good each is."""
    found: list[list[Trait]] = [[] for _ in ordered]
    for trait, value in BEST.items():
        values = [value(each) for each in ordered]
        least = min((number for number in values if number is not None), default=None)
        for own, number in zip(found, values, strict=True):
            if number is not None and least is not None and number <= least + SAME * max(1.0, abs(least)):
                own.append(trait)
    return [tuple(own) for own in found]


def _title(rank: int, own: Sequence[Trait], all_of_them: Sequence[Sequence[Trait]]) -> str:
    if rank == 1:
        return "cheapest"
    alone = [TITLES[trait] for trait in TITLES if trait in own and sum(trait in others for others in all_of_them) == 1]
    return alone[0] if alone else f"alternative {rank}"


def differs(each: Alternative, other: Alternative, names: Mapping[str, str] | None = None, *, money: bool = True) -> str:
    """Return which pieces come and go against another alternative, and what that changes in money, minutes and accuracy.

    `names`: what items are called, if more than these two alternatives are told apart. `money`: whether the price is told.
    """
    names = names_of((*each.kit, *other.kit)) if names is None else names
    said = [said] if (said := _pieces(pieces_of(each), pieces_of(other), names)) else []
    if each.table != other.table:
        said.append(f"on table {each.table}")
    if each.down != other.down:
        said.append(f"lies with {each.down} down")
    cents = each.cost.total_cents - other.cost.total_cents
    whole, part = divmod(abs(cents), 100)
    if money:
        said.append(f"{whole}.{part:02d} {'dearer' if cents > 0 else 'cheaper'}" if cents else "at the same price")
    seconds = each.setup_s - other.setup_s
    if seconds:
        time = f"{abs(seconds) / 60:.1f} min" if abs(seconds) >= MINUTES_FROM_S else f"{abs(seconds)} s"
        said.append(f"{time} {'longer' if seconds > 0 else 'shorter'} to set")
    cycle = each.cycle_s - other.cycle_s
    if cycle:
        said.append(f"{abs(cycle)} s {'longer' if cycle > 0 else 'shorter'} per weldment")
    pulled = len(each.unload.pull) - len(other.unload.pull)
    if pulled:
        said.append(f"{abs(pulled)} {'more' if pulled > 0 else 'fewer'} pulled each cycle")
    if each.measures is not None and other.measures is not None:
        truer = other.measures.locating_error_mm - each.measures.locating_error_mm
        if abs(truer) >= FINEST_MM:
            said.append(f"{abs(truer):.2f} mm {'truer' if truer > 0 else 'less true'}")
    return "; ".join(said)


def _pieces(mine: Pieces, theirs: Pieces, names: Mapping[str, str]) -> str:
    come, go = _in_words(mine, theirs, names), _in_words(theirs, mine, names)
    if come and go:
        return f"{come} instead of {go}"
    if not come and not go:
        return "" if mine == theirs else "the same pieces at other places"
    return f"without {go}" if go else f"also {come}"


def _in_words(some: Pieces, others: Pieces, names: Mapping[str, str]) -> str:
    """Return the pieces that are in one kit and not in the other, with where they stand: ``2 x low stop at the left of rail``."""
    said = []
    for item, more in sorted((_kit(some) - _kit(others)).items(), key=lambda entry: names[entry[0]]):
        new = (some[item] - others.get(item, Counter())).elements()
        standing = [*new, *(some[item] & others.get(item, Counter())).elements()][:more]
        said += [f"{count} x {names[item]} {place}" for place, count in Counter(standing).items()]
    return ", ".join(said)


def _kit(pieces: Pieces) -> Counter[str]:
    return Counter({item: places.total() for item, places in pieces.items()})
