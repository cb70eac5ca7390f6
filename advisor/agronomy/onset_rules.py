"""Rules that say on which day the rains have begun, as others published them.

They differ in what makes a day wet enough and in what must follow before it counts: no long dry spell, or so much
more rain. All are laws of one kind: more rain on any day never makes a rule hold less. ``rain`` relies on that
to be honest about days on which nobody measured. Which rule a zone uses is a figure of the programme.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Protocol

from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.figures import Figure
from advisor.agronomy.sources import Source
from advisor.agronomy.tables import Table, read_table


class OnsetRule(Protocol):
    """What ``rain`` asks of a rule; days are places in a series of daily rain."""

    @property
    def key(self) -> str:
        """Short key that programmes name it by."""

    @property
    def ahead(self) -> int:
        """Days after a wet day that the rule looks at, at most."""

    def is_candidate(self, day: date) -> bool:
        """Whether the rains can begin on that day by the calendar."""

    def is_wet(self, mm: Sequence[float], at: int, begin: int, first: date) -> bool:
        """Whether enough rain has fallen on the day ``at``, counting from ``begin`` on."""

    def lasts(self, mm: Sequence[float], at: int, first: date) -> bool:
        """Whether what follows the day ``at`` makes it the onset."""


@dataclass(frozen=True, slots=True)
class DrySpellRule:
    """So much rain in a few days, and no long dry spell after it.

    The day must itself have rain: else waiting a day would shorten the dry spell that follows.

    Args:
        key: short key.
        wet_mm: rain that makes a day wet enough [mm].
        wet_days: days up to and with it in which that falls.
        longest_dry: longest dry spell allowed [days].
        watched: days after it in which dry spells count.
        dry_under_mm: a day with less is dry [mm].
    """

    key: str
    wet_mm: float
    wet_days: int
    longest_dry: int
    watched: int
    dry_under_mm: float

    @property
    def ahead(self) -> int:
        return self.watched

    def is_candidate(self, day: date) -> bool:
        return True

    def is_wet(self, mm: Sequence[float], at: int, begin: int, first: date) -> bool:
        return mm[at] >= self.dry_under_mm and _fallen(mm, at, begin, self.wet_days) >= self.wet_mm

    def lasts(self, mm: Sequence[float], at: int, first: date) -> bool:
        dry = 0
        for fallen in mm[at + 1 : at + 1 + self.watched]:
            dry = dry + 1 if fallen < self.dry_under_mm else 0
            if dry > self.longest_dry:
                return False
        return True


@dataclass(frozen=True, slots=True)
class FollowUpRule:
    """So much rain in some days, and so much more in the days after them; the day itself has rain.

    Args:
        key: short key.
        wet_mm: rain that makes a day wet enough [mm].
        wet_days: days up to and with it in which that falls.
        more_mm: rain that must follow [mm].
        watched: days in which it follows.
        dry_under_mm: a day with less is dry [mm].
    """

    key: str
    wet_mm: float
    wet_days: int
    more_mm: float
    watched: int
    dry_under_mm: float

    @property
    def ahead(self) -> int:
        return self.watched

    def is_candidate(self, day: date) -> bool:
        return True

    def is_wet(self, mm: Sequence[float], at: int, begin: int, first: date) -> bool:
        return mm[at] >= self.dry_under_mm and _fallen(mm, at, begin, self.wet_days) >= self.wet_mm

    def lasts(self, mm: Sequence[float], at: int, first: date) -> bool:
        return _sum(mm[at + 1 : at + 1 + self.watched]) >= self.more_mm


@dataclass(frozen=True, slots=True)
class DekadRule:
    """A wet third of a month, and rain in the two after it; the onset is the first day of the wet one.

    Dekads are the 1st to 10th, the 11th to 20th and the rest of a month. One that began before counting begins
    is passed over.

    Args:
        key: short key.
        wet_mm: rain of the first dekad [mm].
        more_mm: rain of the next two [mm].
        each: whether each of the two must have it, or both together.
    """

    key: str
    wet_mm: float
    more_mm: float
    each: bool

    @property
    def ahead(self) -> int:
        # Three dekads on end are at most 31 days, since only one of them is the last of its month.
        return 30

    def is_candidate(self, day: date) -> bool:
        return day.day in (1, 11, 21)

    def is_wet(self, mm: Sequence[float], at: int, begin: int, first: date) -> bool:
        return _sum(mm[at : self._after(at, first)]) >= self.wet_mm

    def lasts(self, mm: Sequence[float], at: int, first: date) -> bool:
        second = self._after(at, first)
        third = self._after(second, first)
        end = self._after(third, first)
        sums = (_sum(mm[second:third]), _sum(mm[third:end])) if self.each else (_sum(mm[second:end]),)
        return min(sums) >= self.more_mm

    def _after(self, at: int, first: date) -> int:
        """Where the next dekad begins."""
        day = first + timedelta(at)
        if day.day < 21:
            return at + 10
        return at + monthrange(day.year, day.month)[1] - 20


@dataclass(frozen=True, slots=True)
class OnsetRules:
    """The rules that there are.

    Args:
        rules: the rules.
        begins: key of a rule and the day of the year after which it was published to count, where it says one.
        figures: where in the file a figure stands, and the figure with its source and mark.
    """

    rules: tuple[OnsetRule, ...]
    begins: tuple[tuple[str, int], ...]
    figures: tuple[tuple[str, Figure], ...]

    def rule(self, key: str) -> OnsetRule:
        """The rule of that key. Raises MissingFigure where there is none."""
        found = next((rule for rule in self.rules if rule.key == key), None)
        if found is None:
            raise MissingFigure(f"onset rule {key}", "name one of " + ", ".join(rule.key for rule in self.rules))
        return found


def read_onset_rules(text: str, sources: Sequence[Source]) -> OnsetRules:
    """Onset rules from their data file.

    Args:
        text: TOML with one ``[[rules]]`` table a rule; its kind is ``dry_spell``, ``follow_up``, ``dekads`` or
            ``each_dekad``.
        sources: sources that the figures may name.

    Returns:
        The rules.

    Raises:
        DataFault: everything that is wrong with the file, at once.

    Source:
        The project's own file format.

    >>> from importlib.resources import files
    >>> from advisor.agronomy.sources import read_sources
    >>> data = files("advisor.agronomy") / "data"
    >>> sources = read_sources((data / "sources.toml").read_text("utf-8"))
    >>> rules = read_onset_rules((data / "onset_rules.toml").read_text("utf-8"), sources)
    >>> rules.rule("sahel-1988").wet_mm
    20.0
    """
    table = read_table(text, "onset rules", {source.key: bool(source.url) for source in sources})
    rows = table.rows("rules")
    rules = tuple(_rule(row) for row in rows)
    begins = tuple(
        (rule.key, row.whole_quantity("begins", "day of year", 1, 365))
        for rule, row in zip(rules, rows, strict=True)
        if row.has("begins")
    )
    table.unique("rules", [rule.key for rule in rules])
    table.finish()
    return OnsetRules(rules, begins, table.figures)


def _fallen(mm: Sequence[float], at: int, begin: int, days: int) -> float:
    """Rain of so many days up to and with one of them, none before counting begins."""
    return _sum(mm[max(begin, at - days + 1) : at + 1])


def _sum(mm: Sequence[float]) -> float:
    """Rain together, to a nanometre: binary sums of 6.6 + 6.7 + 6.7 mm fall a hair short of 20."""
    return round(sum(mm), 6)


def _rule(row: Table) -> OnsetRule:
    key = row.text("key", longest=24)
    kind = row.one_of("kind", ("dry_spell", "follow_up", "dekads", "each_dekad"))
    wet_mm = row.quantity("wet", "mm", 1, 1000)
    if kind == "dry_spell":
        rule = DrySpellRule(
            key,
            wet_mm,
            row.whole_quantity("wet_within", "day", 1, 30),
            row.whole_quantity("longest_dry", "day", 1, 60),
            row.whole_quantity("watched", "day", 1, 120),
            row.quantity("dry_under", "mm", 0, 20),
        )
        # In fewer days no spell could ever be too long.
        row.rising(("longest_dry + 1", rule.longest_dry + 1), ("watched", rule.watched))
        return rule
    more_mm = row.quantity("more", "mm", 1, 1000)
    if kind == "follow_up":
        return FollowUpRule(
            key,
            wet_mm,
            row.whole_quantity("wet_within", "day", 1, 30),
            more_mm,
            row.whole_quantity("watched", "day", 1, 120),
            row.quantity("dry_under", "mm", 0, 20),
        )
    return DekadRule(key, wet_mm, more_mm, kind == "each_dekad")
