"""Which lines meet end to end: loops of them, and what is left over, from the places of their ends alone."""

from __future__ import annotations

import math
from collections import defaultdict, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Point2

SAME = 0.001
"""Ends this near to each other, mm, are one point."""
_CROWDED = 64
"""Loose ends in a square as wide as the gap that are looked at; more than a handful are no drawing."""
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LoopStep:
    """One line of a loop, and whether it is gone along from its end to its start."""

    line: int
    back: bool


@dataclass(frozen=True, slots=True)
class LeftOver:
    """Lines that hang together and make no loop.

    Parameters
    ----------
    lines : tuple of int
    loose : tuple of points
        Ends that meet nothing.
    forks : tuple of points
        Where more than two lines meet, so that it is open which way an outline goes on.
    """

    lines: tuple[int, ...]
    loose: tuple[Point2, ...]
    forks: tuple[Point2, ...]


def joined(ends: Array, gap: float) -> tuple[list[list[LoopStep]], list[LeftOver]]:
    """Return the loops of some lines and what is left over.

    Parameters
    ----------
    ends : array (2 n, 2)
        Start and end of each of n lines, mm.
    gap : float
        Loose ends no farther apart than this are joined, nearest first.
    """
    nodes = _gaps_closed(ends, _meeting(ends), gap)
    at: dict[int, list[int]] = defaultdict(list)
    for end, node in enumerate(nodes):
        at[node].append(end)
    alive = _without_loose_lines(nodes, at)
    loops: list[list[LoopStep]] = []
    in_loops: set[int] = set()
    seen: set[int] = set()
    for line in np.flatnonzero(alive):
        if int(line) in seen:
            continue
        group = _group(int(line), nodes, at, alive)
        seen |= group
        if all(sum(alive[end // 2] for end in at[nodes[2 * each + last]]) == 2 for each in group for last in (0, 1)):
            loops.append(_walked(int(line), nodes, at, alive))
            in_loops |= group
    free = np.array([line not in in_loops for line in range(len(alive))])
    return loops, list(_left_over(ends, nodes, at, free, alive))


def _meeting(ends: Array) -> list[int]:
    """Return for each end which point it is at: ends within `SAME` of each other share one."""
    cells: dict[tuple[int, int], int] = {}
    nodes: list[int] = []
    places: list[Point2] = []
    for x, y in ends.tolist():
        i, j = math.floor(x / SAME), math.floor(y / SAME)
        near = ((i + di, j + dj) for di in (0, -1, 1) for dj in (0, -1, 1))
        found = next((cells[c] for c in near if c in cells and math.dist(places[cells[c]], (x, y)) <= SAME), None)
        if found is None:
            found = len(places)
            places.append((x, y))
            cells.setdefault((i, j), found)
        nodes.append(found)
    return nodes


def _gaps_closed(ends: Array, nodes: list[int], gap: float) -> list[int]:
    """Return the points with loose ends within the gap made one, nearest pairs first."""
    count = np.bincount(nodes)
    loose = [end for end, node in enumerate(nodes) if count[node] == 1]
    if gap <= SAME or len(loose) < 2:
        return nodes
    used: set[int] = set()
    closed = list(nodes)
    for _, one, other in sorted(_near_pairs(ends, loose, gap)):
        if one not in used and other not in used:
            used |= {one, other}
            closed[other] = nodes[one]
    return closed


def _near_pairs(ends: Array, loose: list[int], gap: float) -> Iterator[tuple[float, int, int]]:
    """Yield pairs of loose ends within the gap of each other, with their distance, each pair once."""
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for end in loose:
        x, y = ends[end].tolist()
        i, j = math.floor(x / gap), math.floor(y / gap)
        for beside in ((i + di, j + dj) for di in (-1, 0, 1) for dj in (-1, 0, 1)):
            for other in cells.get(beside, ()):
                distance = math.dist((x, y), ends[other])
                if distance <= gap:
                    yield distance, other, end
        if len(cells[i, j]) < _CROWDED:
            cells[i, j].append(end)


def _without_loose_lines(nodes: list[int], at: dict[int, list[int]]) -> NDArray[np.bool_]:
    """Mark the lines that stay when those with a loose end are taken away, again and again."""
    alive = np.ones(len(nodes) // 2, dtype=bool)
    degree = {node: len(found) for node, found in at.items()}
    waiting = deque(node for node, count in degree.items() if count == 1)
    while waiting:
        for end in at[waiting.popleft()]:
            if alive[end // 2]:
                alive[end // 2] = False
                for each in (end, end ^ 1):
                    degree[nodes[each]] -= 1
                if degree[nodes[end ^ 1]] == 1:
                    waiting.append(nodes[end ^ 1])
    return alive


def _group(first: int, nodes: list[int], at: dict[int, list[int]], among: NDArray[np.bool_]) -> set[int]:
    """Return the lines that hang together with one, of those marked."""
    found, waiting = {first}, [first]
    while waiting:
        line = waiting.pop()
        for node in {nodes[2 * line], nodes[2 * line + 1]}:
            more = {end // 2 for end in at[node] if among[end // 2]} - found
            found |= more
            waiting += more
    return found


def _walked(first: int, nodes: list[int], at: dict[int, list[int]], alive: NDArray[np.bool_]) -> list[LoopStep]:
    """Return a loop from its first line on; two of the lines marked meet at each of its points."""
    steps = [LoopStep(first, False)]
    end = 2 * first + 1
    while True:
        onward = next(other for other in at[nodes[end]] if other != end and alive[other // 2])
        if onward // 2 == first:
            return steps
        steps.append(LoopStep(onward // 2, bool(onward % 2)))
        end = onward ^ 1


def _left_over(
    ends: Array, nodes: list[int], at: dict[int, list[int]], free: NDArray[np.bool_], alive: NDArray[np.bool_]
) -> Iterable[LeftOver]:
    seen: set[int] = set()
    for line in np.flatnonzero(free).tolist():
        if line in seen:
            continue
        group = _group(line, nodes, at, free)
        seen |= group
        corners = sorted({nodes[2 * each + last]: 2 * each + last for each in sorted(group) for last in (0, 1)}.values())
        loose = tuple((float(x), float(y)) for x, y in ends[[end for end in corners if len(at[nodes[end]]) == 1]])
        forks = [end for end in corners if sum(free[each // 2] and alive[each // 2] for each in at[nodes[end]]) > 2]
        yield LeftOver(tuple(sorted(group)), loose, tuple((float(x), float(y)) for x, y in ends[forks]))
