"""Candidates of which no two can stand together, in groups: one row for a group says more than a row for each pair.

Sets of candidates are whole numbers, one bit a candidate; `neighbours` holds for each candidate the set of those it cannot stand
with.
"""

from __future__ import annotations

from collections.abc import Iterable


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
