"""Village figures: what one record adds to the counters of its village, and what a change of it changes there."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from advisor.agronomy.germination import Band, SeedTest, band
from advisor.records.grower import Grower
from advisor.records.own_phones import is_growers

COUNTERS = ("growers", "started", "tested", "good", "middle", "bad")


@dataclass(frozen=True, slots=True)
class Bands:
    """Edges between good, middle and bad seed; they are figures of the crop.

    Args:
        good_over_percent: germination above which seed is good.
        poor_under_percent: germination below which seed is bad; not above ``good_over_percent``.
        own_phones: numbers of the phones that agents work from, which count nowhere by themselves.
    """

    good_over_percent: int
    poor_under_percent: int
    own_phones: frozenset[str] = frozenset()

    def of(self, grown: int, sown: int) -> str:
        """The counter for a test.

        >>> [Bands(80, 60).of(grown, 100) for grown in (81, 80, 60, 59)]
        ['good', 'middle', 'middle', 'bad']
        """
        return _COUNTER[band(SeedTest(grown, sown), self.good_over_percent, self.poor_under_percent)]


_COUNTER = {Band.GOOD: "good", Band.MIDDLE: "middle", Band.POOR: "bad"}


def village_figures(record: Grower, bands: Bands) -> tuple[str, frozenset[str]]:
    """The village of a record and the counters in which it counts as one.

    Args:
        record: what is known; without consent or village it counts nowhere.
        bands: edges of the bands.

    Returns:
        Village key and counter names; ``("", frozenset())`` where the record counts nowhere.
    """
    if record.agreed is None:
        return "", frozenset()
    known = {fact.name: fact.value for fact in record.facts}
    village = known.get("grower.village")
    if village is None or not is_growers(record.number, known, bands.own_phones):
        return "", frozenset()
    counted = {"growers"}
    if "lot.origin" in known:
        counted.add("started")
    test = known.get("lot.test")
    if isinstance(test, tuple):
        grown, sown = test
        counted |= {"tested", bands.of(grown, sown)}
    return str(village), frozenset(counted)


def figure_changes(old: Grower, new: Grower, bands: Bands) -> tuple[tuple[str, str, int], ...]:
    """What a change of one record changes in the village figures.

    Returns:
        (village, counter, difference), sorted, without zeros.

    >>> from datetime import UTC, datetime
    >>> day = datetime(2027, 3, 1, tzinfo=UTC)
    >>> figure_changes(Grower(), Grower(agreed=day).knows("grower.village", "v1", day), Bands(80, 60))
    (('v1', 'growers', 1),)
    """
    if (old.facts, old.agreed, old.number) == (new.facts, new.agreed, new.number):
        return ()
    was, now = village_figures(old, bands), village_figures(new, bands)
    if was == now:
        return ()
    change: Counter[tuple[str, str]] = Counter()
    for (village, counted), sign in ((was, -1), (now, 1)):
        for counter in counted:
            change[village, counter] += sign
    return tuple((village, counter, by) for (village, counter), by in sorted(change.items()) if by)
