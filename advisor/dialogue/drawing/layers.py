"""A layered layout: which column each box stands in, and at which height, so that few arrows cross.

The usual four steps of layered drawing (K. Sugiyama, S. Tagawa, M. Toda, Methods for Visual Understanding of
Hierarchical System Structures, IEEE Transactions on Systems, Man and Cybernetics 11(2), 1981; from memory): arrows
that lead back are set aside, each box goes one column behind the last that leads to it, an arrow over several
columns gets a waypoint in each, and columns are ordered by the mean place of their neighbours, as are heights.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

_SWEEPS = 12
_GAP = 26.0
_WAYPOINT = 8.0


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything stands.

    Args:
        column: of each box, from 0.
        top: upper edge of each box.
        through: heights of the waypoints of each forward arrow, one a column between its ends.
        height: of the whole.
    """

    column: Mapping[str, int]
    top: Mapping[str, float]
    through: Mapping[tuple[str, str], tuple[float, ...]]
    height: float


def laid_out(heights: Mapping[str, float], arrows: Sequence[tuple[str, str]], starts: Collection[str]) -> Layout:
    """The layout of boxes with arrows between them.

    Args:
        heights: of the boxes, in the order of the file.
        arrows: from one box to another.
        starts: boxes that need not be led to.

    >>> found = laid_out({"a": 10, "b": 10, "c": 10}, [("a", "b"), ("b", "c"), ("c", "a"), ("a", "c")], "a")
    >>> dict(found.column), list(found.through[("a", "c")]) != []
    ({'a': 0, 'b': 1, 'c': 2}, True)
    """
    order = _in_order(list(heights), arrows, starts)
    forward = _forward(order, arrows)
    column = _columns(order, forward)
    columns, chains, neighbours = _with_waypoints(column, forward)
    size = {**dict.fromkeys((point for chain in chains.values() for point in chain), _WAYPOINT), **heights}
    for sweep in range(_SWEEPS):
        _ordered(columns, neighbours, left_first=sweep % 2 == 0)
    top = _heights(columns, neighbours, size)
    through = {arrow: tuple(top[point] + _WAYPOINT / 2 for point in chain) for arrow, chain in chains.items()}
    return Layout(column, {name: top[name] for name in heights}, through, max(top[n] + size[n] for n in top))


def _in_order(names: Sequence[str], arrows: Sequence[tuple[str, str]], starts: Collection[str]) -> list[str]:
    """The boxes as they come: as they are written, but none before the first that leads to it."""
    order = list(names)
    for name in names:
        leading = [order.index(start) for start, end in arrows if end == name and start != name]
        if name not in starts and leading and min(leading) > order.index(name):
            order.insert(min(leading), order.pop(order.index(name)))
    return order


def _forward(order: Sequence[str], arrows: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    place = {name: number for number, name in enumerate(order)}
    return [(start, end) for start, end in dict.fromkeys(arrows) if place[start] < place[end]]


def _columns(names: list[str], forward: Sequence[tuple[str, str]]) -> dict[str, int]:
    before: dict[str, list[str]] = {name: [] for name in names}
    for start, end in forward:
        before[end].append(start)
    column: dict[str, int] = {}
    for name in names:
        column[name] = max((column[other] + 1 for other in before[name]), default=0)
    return column


_Chains = dict[tuple[str, str], list[str]]
_Neighbours = dict[str, tuple[list[str], list[str]]]


def _with_waypoints(
    column: Mapping[str, int], forward: Sequence[tuple[str, str]]
) -> tuple[list[list[str]], _Chains, _Neighbours]:
    columns: list[list[str]] = [[] for _ in range(max(column.values()) + 1)]
    for name, place in column.items():
        columns[place].append(name)
    chains: _Chains = {}
    neighbours: _Neighbours = {name: ([], []) for name in column}
    for start, end in forward:
        chain = [f"{start}>{end}>{place}" for place in range(column[start] + 1, column[end])]
        chains[start, end] = chain
        for place, point in enumerate(chain, column[start] + 1):
            columns[place].append(point)
            neighbours[point] = ([], [])
        whole = [start, *chain, end]
        for left, right in itertools.pairwise(whole):
            neighbours[left][1].append(right)
            neighbours[right][0].append(left)
    return columns, chains, neighbours


def _ordered(columns: list[list[str]], neighbours: _Neighbours, *, left_first: bool) -> None:
    place = {name: number / max(len(names), 1) for names in columns for number, name in enumerate(names)}
    for names in columns if left_first else reversed(columns):
        means = {name: _mean(place, neighbours[name][0 if left_first else 1], place[name]) for name in names}
        names.sort(key=lambda name: means[name])
        place |= {name: number / len(names) for number, name in enumerate(names)}


def _mean(place: Mapping[str, float], names: Sequence[str], otherwise: float) -> float:
    return sum(place[name] for name in names) / len(names) if names else otherwise


def _heights(columns: list[list[str]], neighbours: _Neighbours, size: Mapping[str, float]) -> dict[str, float]:
    middle: dict[str, float] = {}
    for names in columns:
        _stacked(names, dict.fromkeys(names, 0.0), size, middle)
    for sweep in range(_SWEEPS):
        side = sweep % 2
        for names in columns if side == 0 else reversed(columns):
            _stacked(
                names, {name: _mean(middle, neighbours[name][side], middle[name]) for name in names}, size, middle
            )
    least = min(middle[name] - size[name] / 2 for name in middle)
    return {name: at - size[name] / 2 - least for name, at in middle.items()}


def _stacked(
    names: Sequence[str], wanted: Mapping[str, float], size: Mapping[str, float], middle: dict[str, float]
) -> None:
    """Puts a column's boxes as near as may be to where they are wanted, in their order and clear of each other.

    Boxes that would touch stand together as one block at the mean of what they want.
    """
    blocks: list[tuple[list[str], float]] = []  # names, and where the first one's middle stands
    for name in names:
        block, at = [name], wanted[name]
        while blocks:
            before, first = blocks[-1]
            if first + _offsets(before, size)[-1] + _apart(before[-1], block[0], size) <= at:
                break
            block = [*before, *block]
            blocks.pop()
            offsets = _offsets(block, size)
            at = sum(wanted[one] - offset for one, offset in zip(block, offsets, strict=True)) / len(block)
        blocks.append((block, at))
    for block, at in blocks:
        middle |= {name: at + offset for name, offset in zip(block, _offsets(block, size), strict=True)}


def _offsets(names: Sequence[str], size: Mapping[str, float]) -> list[float]:
    offsets = [0.0]
    for above, below in itertools.pairwise(names):
        offsets.append(offsets[-1] + _apart(above, below, size))
    return offsets


def _apart(above: str, below: str, size: Mapping[str, float]) -> float:
    return (size[above] + size[below]) / 2 + (_GAP if size[above] > _WAYPOINT or size[below] > _WAYPOINT else 4.0)
