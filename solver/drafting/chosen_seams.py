"""Seams chosen to be welded: by rule, by pair or by id, with sizes that somebody sets, and the welds that come of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field
from itertools import count

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import WELDS, shown, suggestion
from solver.drafting.touching.kinds import LEG_BY, THROAT_BY
from solver.drafting.weld_seams import Seam, seams
from solver.drafting.welds_on_seams import welds_on_seams
from solver.weldment import LEGGED, InFixture, Weld, WeldKind, Weldment

RULES: Mapping[str, Callable[[Seam], bool]] = {
    "all": lambda seam: True,
    "outside_corners": lambda seam: seam.outside_corner,
    "square_corners": lambda seam: seam.square_corner,
}
"""The rules that seams can be chosen by, and what each asks of a seam."""


@dataclass(frozen=True, slots=True)
class ProposedSeam:
    """A seam of a weldment.

    Parameters
    ----------
    id : str
        ``s1``, ``s2`` and so on, in the order in which seams are found: the same for the same parts.
    seam : Seam
    weld : str or None
        The id of the weldment's weld that lies on it already, all of it or a stretch.
    """

    id: str
    seam: Seam
    weld: str | None


@dataclass(frozen=True, slots=True)
class AskedBead:
    """How big somebody wants a bead: its leg or its throat, mm; neither: as proposed."""

    leg: float | None = None
    throat: float | None = None


@dataclass(frozen=True, slots=True)
class SeamWishes:
    """What somebody wants of the welds on the chosen seams.

    Parameters
    ----------
    leg : float or None
        Of every fillet and lap, mm; None: as proposed.
    throat : float or None
        Of every other kind, mm; None: as proposed.
    by_kind : mapping
        Sizes of one kind: before `leg` and `throat`.
    by_seam : mapping
        Sizes of one seam, by its id: before all others.
    in_fixture : InFixture
        How much of each is welded in the fixture.
    process : str
        Welding process, such as ``135``.
    """

    leg: float | None = None
    throat: float | None = None
    by_kind: Mapping[WeldKind, AskedBead] = field(default_factory=dict)
    by_seam: Mapping[str, AskedBead] = field(default_factory=dict)
    in_fixture: InFixture = "full"
    process: str = ""


@dataclass(frozen=True, slots=True)
class ChosenSeam:
    """A seam that is to be welded, as what kind, how big, how much of it in the fixture and by which process.

    `said_at` points to where its size was said, for faults.
    """

    proposed: ProposedSeam
    kind: WeldKind
    leg: float | None
    throat: float | None
    in_fixture: InFixture = "full"
    process: str = ""
    said_at: str = ""


def proposed_seams(weldment: Weldment) -> tuple[ProposedSeam, ...]:
    """Return every bead that the parts of a weldment offer, those among them that are welded already."""
    found = seams(weldment.parts)
    there = welds_on_seams(found, weldment.welds)
    return tuple(
        ProposedSeam(f"s{number}", seam, None if weld is None else weld.id)
        for number, (seam, weld) in enumerate(zip(found, there, strict=True), 1)
    )


def sized_by(seam: Seam) -> str:
    """Return which rule of thumb proposes a seam's size, in words."""
    return LEG_BY if seam.kind in LEGGED else THROAT_BY


def chosen_by(proposed: Sequence[ProposedSeam], words: Sequence[str]) -> tuple[ProposedSeam, ...]:
    """Return the seams that any of some words chooses, in their own order, those that are welded already among them.

    Parameters
    ----------
    words : sequence of str
        A rule (`RULES`), a seam's id, or two parts' ids with a plus sign between them: ``post+lug``.

    Raises
    ------
    InvalidDocument
        A word that chooses nothing, at ``/choose/`` and its number.
    """
    wanted: set[str] = set()
    faults: list[Fault] = []
    for number, word in enumerate(words):
        found = [each.id for each in proposed if _chooses(word, each)]
        wanted.update(found)
        if not found:
            faults.append(_nothing(f"/choose/{number}", word, proposed))
    if not words:
        faults.append(Fault("/choose", "nothing is chosen", "a rule, a pair of parts or the id of a seam"))
    refuse(faults)
    return tuple(each for each in proposed if each.id in wanted)


def _chooses(word: str, proposed: ProposedSeam) -> bool:
    if word in RULES:
        return RULES[word](proposed.seam)
    one, two = proposed.seam.parts
    return word in (proposed.id, f"{one}+{two}", f"{two}+{one}")


def _nothing(pointer: str, word: str, proposed: Sequence[ProposedSeam]) -> Fault:
    if not proposed:
        return Fault(pointer, "no parts of this weldment touch so that a bead could be laid", "a weldment with seams")
    if word in RULES:
        return Fault(pointer, f"none of the {len(proposed)} seams is chosen by {word!r}", "another rule, a pair of parts, or ids")
    known = {*RULES, *(each.id for each in proposed), *("+".join(each.seam.parts) for each in proposed)}
    return Fault(pointer, f"{shown(word)} chooses nothing", suggestion(word, known, "a rule, two parts that touch, or a seam"))


def wished(chosen: Sequence[ProposedSeam], wishes: SeamWishes) -> tuple[ChosenSeam, ...]:
    """Return chosen seams with the sizes that are wanted, and those proposed where none are.

    Raises
    ------
    InvalidDocument
        A size for a seam that is not chosen, at ``/sizes/by_seam/`` and its id.
    """
    ids = {each.id for each in chosen}
    refuse(
        Fault(f"/sizes/by_seam/{id}", f"the seam {shown(id)} is not chosen", "ids of chosen seams")
        for id in wishes.by_seam
        if id not in ids
    )
    return tuple(_wished(each, wishes) for each in chosen)


def _wished(proposed: ProposedSeam, wishes: SeamWishes) -> ChosenSeam:
    seam = proposed.seam
    said = {
        f"/sizes/by_seam/{proposed.id}": wishes.by_seam.get(proposed.id),
        f"/sizes/by_kind/{seam.kind}": wishes.by_kind.get(seam.kind),
        "/sizes": AskedBead(wishes.leg, None) if seam.kind in LEGGED else AskedBead(None, wishes.throat),
    }
    at, size = next(
        ((at, size) for at, size in said.items() if size is not None and size != AskedBead()),
        ("", AskedBead(seam.leg, seam.throat)),
    )
    return ChosenSeam(proposed, seam.kind, size.leg, size.throat, wishes.in_fixture, wishes.process, at)


def welds_of(chosen: Sequence[ChosenSeam], taken: Iterable[str]) -> tuple[Weld, ...]:
    """Return a weld on each chosen seam that has none yet.

    Its id is the seam's, so that a seam has the same weld whatever else is chosen; ``s3.2`` if another weld is called ``s3``.

    Parameters
    ----------
    taken : iterable of str
        Ids of the welds there are.

    Raises
    ------
    InvalidDocument
        A size that its kind does not have, where it was said; more welds than a weldment may have.
    """
    there = set(taken)
    found: list[Weld] = []
    faults: list[Fault] = []
    for each in chosen:
        if each.proposed.weld is not None:
            continue
        id, seam = _free_id(each.proposed.id, there), each.proposed.seam
        try:
            found.append(
                Weld(id, seam.parts, seam.path, each.kind, each.leg, each.throat, each.in_fixture, each.process, seam.side)
            )
        except InvalidDocument as refusal:
            faults += [
                Fault(f"{each.said_at}{fault.pointer}", f"{each.proposed.id}: {fault.wrong}", fault.accepted)
                for fault in refusal.faults
            ]
        there.add(id)
    if len(there) > WELDS:
        faults.append(Fault("", f"{len(there)} welds with those that are chosen", f"at most {WELDS} welds"))
    refuse(faults)
    return tuple(found)


def _free_id(seam: str, taken: Set[str]) -> str:
    return seam if seam not in taken else next(name for number in count(2) if (name := f"{seam}.{number}") not in taken)
