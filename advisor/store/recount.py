"""Recounts the village figures from the growers themselves and names every difference."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from advisor.store.api import Store

#: Figures that one grower's value stands for: (village, counter, count).
FiguresOf = Callable[[bytes], Iterable[tuple[str, str, int]]]


@dataclass(frozen=True, slots=True)
class Difference:
    """A figure that is not what the growers add up to.

    Args:
        village: the village.
        counter: the figure.
        kept: what the store keeps.
        counted: what the growers add up to.
    """

    village: str
    counter: str
    kept: int
    counted: int


def recount(store: Store, figures_of: FiguresOf, villages: Iterable[str] = ()) -> tuple[Difference, ...]:
    """Every difference between the figures kept and the growers counted; empty when all is well.

    Run it while nobody writes: a change between the two countings looks like a difference.

    Args:
        store: the store.
        figures_of: the figures that one grower's value stands for.
        villages: villages to look at even when no grower stands for them.

    >>> from advisor.store.api import Change
    >>> from advisor.store.memory import DictStore
    >>> store = DictStore()
    >>> ann = "0f3a9c5500112233"
    >>> _ = store.commit(Change(ann, 0, b"{}", 1, counts=(("dovi", "growers", 2),)))
    >>> recount(store, lambda value: [("dovi", "growers", 1)])
    (Difference(village='dovi', counter='growers', kept=2, counted=1),)
    """
    counted: Counter[tuple[str, str]] = Counter()
    for grower in set(store.growers()):
        _, value = store.value(grower)
        for village, counter, count in figures_of(value) if value is not None else ():
            counted[village, counter] += count
    kept = {
        (village, counter): count
        for village in {*villages, *(village for village, _ in counted)}
        for counter, count in store.counts(village).items()
    }
    return tuple(
        Difference(*figure, kept=kept.get(figure, 0), counted=counted[figure])
        for figure in sorted({*counted, *kept})
        if kept.get(figure, 0) != counted[figure]
    )
