"""What flows may name: calculations, conditions and lists. The binding room fills it, the engine calls it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from advisor.agronomy.labels import Label
from advisor.wording.kinds import Area, Kind, Money

#: Facts, answers and results by name, as a calculation or a condition sees them.
Sight = Mapping[str, object]


def assumed(fact: str) -> str:
    """The name by which conditions see that a fact is taken as so for an SMS in one line, and nobody said it.

    Args:
        fact: its name.

    >>> assumed("lot.origin")
    'lot.origin.assumed'
    """
    return f"{fact}.assumed"


@dataclass(frozen=True, slots=True)
class Takes:
    """What a calculation can make of a fact or an answer; a question that gives something else is refused.

    Args:
        name: the fact or answer.
        kinds: the kinds of value that it can deal with.
        values: where it is one of a few words, the words it knows; empty for any.
    """

    name: str
    kinds: tuple[type[Kind], ...] = ()
    values: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Brings:
    """A caution that must be said to whoever is shown results of a calculation.

    Args:
        caution: its key, one of ``advisor.agronomy.cautions``.
        with_results: results that bring it; empty where any of them does.
        in_one_line: whether the answer to an SMS in one line, which stands alone, must say it too.
    """

    caution: str
    with_results: tuple[str, ...] = ()
    in_one_line: bool = True


@dataclass(frozen=True, slots=True)
class Calculation:
    """A named calculation that a screen may call.

    Args:
        name: its name in flow files.
        needs: facts and answers it cannot do without.
        may_use: facts and answers it takes into account when they are known.
        gives: its results with their kinds, which bound every number so that texts can be proven to fit.
        also: names of results that no text names, for conditions only.
        run: from what is known and the moment to the results; raises AgronomyError where it refuses.
        sometimes: names of results that it does not always give; a text may name them only behind a condition
            that says they are there.
        takes: what it can make of each fact and answer that it looks at.
        brings: cautions that must be said with its results.
    """

    name: str
    needs: tuple[str, ...]
    may_use: tuple[str, ...]
    gives: tuple[tuple[str, Kind], ...]
    run: Callable[[Sight, datetime], Mapping[str, object]]
    also: tuple[str, ...] = ()
    sometimes: tuple[str, ...] = ()
    takes: tuple[Takes, ...] = ()
    brings: tuple[Brings, ...] = ()

    @property
    def always(self) -> frozenset[str]:
        """Names of the results that it gives whenever it does not refuse."""
        return frozenset({*(name for name, _ in self.gives), *self.also} - {*self.sometimes})


@dataclass(frozen=True, slots=True)
class Condition:
    """A named yes-or-no on what is known.

    Args:
        name: its name in flow files.
        needs: facts, answers and results it looks at.
        holds: whether it holds.
        shows: results, not always given, that are there whenever it holds.
    """

    name: str
    needs: tuple[str, ...]
    holds: Callable[[Sight], bool]
    shows: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Registry:
    """Everything that flow files may name.

    Args:
        calculations: the calculations.
        conditions: the conditions.
        lists: pairs of name and entries (key, label) that a ``pick`` chooses from.
        area: kind of an answered area, with the programme's smallest and largest plot.
        money: kind of an answered sum of money.
        fewest_seeds: smallest seed test that gets an answer.
        local_areas: folded names of the programme's own units of area, and their sizes [m²].
    """

    calculations: tuple[Calculation, ...]
    conditions: tuple[Condition, ...]
    lists: tuple[tuple[str, tuple[tuple[str, Label], ...]], ...]
    area: Area
    money: Money
    fewest_seeds: int
    local_areas: tuple[tuple[str, float], ...] = ()
    _calculations: dict[str, Calculation] = field(init=False, compare=False, repr=False)
    _conditions: dict[str, Condition] = field(init=False, compare=False, repr=False)
    _entries: dict[str, tuple[tuple[str, Label], ...]] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        # of two with one name the first is meant
        object.__setattr__(self, "_calculations", {found.name: found for found in reversed(self.calculations)})
        object.__setattr__(self, "_conditions", {found.name: found for found in reversed(self.conditions)})
        object.__setattr__(self, "_entries", dict(self.lists))

    def calculation(self, name: str) -> Calculation | None:
        """The calculation of that name, or None."""
        return self._calculations.get(name)

    def condition(self, name: str) -> Condition | None:
        """The condition of that name, or None."""
        return self._conditions.get(name)

    def local_area_m2(self, name: str) -> float | None:
        """Size of the programme's own unit of area of that folded name, or None."""
        return next((size for known, size in self.local_areas if known == name), None)

    def entries(self, name: str) -> tuple[tuple[str, Label], ...]:
        """The entries of a list, none when there is no such list."""
        return self._entries.get(name, ())
