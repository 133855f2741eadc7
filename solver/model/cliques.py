"""Candidates of which no two can stand together, in groups: one row for a group says more than a row for each pair.

Sets of candidates are whole numbers, one bit a candidate; `neighbours` holds for each candidate the set of those it cannot stand
with.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator


def cover(neighbours: list[int]) -> list[tuple[int, ...]]:
    """Return cliques that cover all conflict pairs: grown from the busiest candidate on, over pairs not yet covered first."""
    left = list(neighbours)
    cliques = []
    for first in sorted(range(len(neighbours)), key=lambda k: (-neighbours[k].bit_count(), k)):
        while left[first]:
            members, common = [first], neighbours[first]
            wanted = left[first]
            while common:
                pick = common & wanted or common
                member = (pick & -pick).bit_length() - 1
                members.append(member)
                common &= neighbours[member]
            clique = sum(1 << member for member in members)
            for member in members:
                left[member] &= ~clique
            cliques.append(tuple(sorted(members)))
    return cliques


def split(members: Iterable[int], neighbours: list[int]) -> list[tuple[int, ...]]:
    """Return some candidates in cliques, each candidate in one: grown from the first of them on."""
    left = sum(1 << member for member in members)
    found = []
    while left:
        member = (left & -left).bit_length() - 1
        clique, common = [member], left & neighbours[member]
        while common:
            member = (common & -common).bit_length() - 1
            clique.append(member)
            common &= neighbours[member]
        left &= ~sum(1 << k for k in clique)
        found.append(tuple(clique))
    return found


def two_cliques(pairs: Iterable[tuple[int, int]], neighbours: list[int]) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Yield two cliques at a time of which each member crosses each of the other's, until all crossing pairs are covered."""
    cross: dict[int, int] = {}
    for one, other in pairs:
        cross[one] = cross.get(one, 0) | 1 << other
        cross[other] = cross.get(other, 0) | 1 << one
    left = dict(cross)
    for first in sorted(cross):
        while left[first]:
            ours, theirs = [first], _grown(left[first], cross[first], neighbours)
            theirs = [other for other in theirs if other != first]
            all_theirs = sum(1 << other for other in theirs)
            common = neighbours[first] & ~all_theirs
            while common:
                member = (common & -common).bit_length() - 1
                common &= ~(1 << member)
                if all_theirs & ~cross.get(member, 0) == 0:
                    ours.append(member)
                    common &= neighbours[member]
            all_ours = sum(1 << own for own in ours)
            for own in ours:
                left[own] &= ~all_theirs
            for other in theirs:
                left[other] &= ~all_ours
            yield tuple(sorted(ours)), tuple(sorted(theirs))


def _grown(wanted: int, among: int, neighbours: list[int]) -> list[int]:
    """Return a clique among some candidates, grown from those wanted first."""
    member = (wanted & -wanted).bit_length() - 1
    clique, common = [member], among & neighbours[member]
    while common:
        pick = common & wanted or common
        member = (pick & -pick).bit_length() - 1
        clique.append(member)
        common &= neighbours[member]
    return clique
