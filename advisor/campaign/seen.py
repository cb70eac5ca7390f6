"""What an agent's lists see of a grower: fields and lots of seed with what is still fresh of them, and no more.

A list goes over a hundred thousand growers, so this is read straight from what is stored (`service.surveying`),
and holds neither answers nor texts. Each plot and each lot counts, the ones aside as the one in hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from advisor.agronomy.germination import SeedTest

#: So long after the day that was meant a field waits to be sown, while nobody told that it was: rain may be weeks
#: late. Of whom nothing more was heard by then nobody knows, and no list can be made for ever. Own choice.
WAITS = timedelta(weeks=4)


@dataclass(frozen=True, slots=True)
class SeenPlot:
    """A field.

    Args:
        area_m2: its size, None while it is not known.
        sowing: the day that is meant for sowing, or on which it was sown; None while it is not known.
        spacing: key of the spacing that was chosen, empty for the usual one.
        bag: number of the bag of seed that was chosen for it, None where none was.
        sown: whether its day was told on that day or later, so that it was sown then (`records.sown`).
    """

    area_m2: float | None = None
    sowing: date | None = None
    spacing: str = ""
    bag: int | None = None
    sown: bool = False

    def waits(self, today: date) -> bool:
        """Whether it is still to be sown: no day is known, it is to come, or it is past and was only meant.

        Args:
            today: the day; after `WAITS` a day that was meant is given up.

        >>> meant, sown = SeenPlot(sowing=date(2026, 12, 8)), SeenPlot(sowing=date(2026, 12, 8), sown=True)
        >>> [meant.waits(date(2026, 12, 9)), meant.waits(date(2027, 1, 6)), sown.waits(date(2026, 12, 9))]
        [True, False, False]
        """
        return not self.sown and (self.sowing is None or self.sowing + WAITS >= today)


@dataclass(frozen=True, slots=True)
class SeenLot:
    """A lot of seed.

    Args:
        origin: ``bought`` or ``saved``, empty while it is not known.
        test: its finished germination test, None while there is none.
        tested: when its count was told, None without a test.
        begun: the day on which a test was begun that is still open, None where none is.
        closed: why a round gave the test up, empty where none did.
        closed_at: when it did, None where none did.
        number: the number that is written on its bag.
        sown: seeds of the test that is open, None while nobody told how many.
        early: seedlings of its early look, None while there was none.
        to_sow: when it was last chosen to be sown, None where it never was.
    """

    origin: str = ""
    test: SeedTest | None = None
    tested: datetime | None = None
    begun: date | None = None
    closed: str = ""
    closed_at: datetime | None = None
    number: int = 1
    sown: int | None = None
    early: int | None = None
    to_sow: datetime | None = None

    @property
    def is_told(self) -> bool:
        """Whether anything is known of the seed in it."""
        return bool(self.origin or self.closed or self.test) or self.begun is not None


@dataclass(frozen=True, slots=True)
class Seen:
    """A grower who has agreed.

    Args:
        grower: id of the grower.
        village: key of the village, empty while it is not known.
        number: E.164 number; shown only where somebody asks for it.
        stopped: since when no messages are wanted, None where they are.
        told: when something was last learnt, or asked, or agreed to.
        plots: the fields in their order, at least one.
        plot: the place of the field in hand, from 0.
        lots: the lots in their order, at least one.
        lot: the place of the lot in hand, from 0.
        asked: when the questions that wait were asked, oldest first.
        facts: what is known and fresh of grower, field in hand and lot in hand, by name; a round goes by it.
        passed: marks of the steps that this grower is done with, by round.
    """

    grower: str
    village: str = ""
    number: str = ""
    stopped: datetime | None = None
    told: datetime | None = None
    plots: tuple[SeenPlot, ...] = (SeenPlot(),)
    plot: int = 0
    lots: tuple[SeenLot, ...] = (SeenLot(),)
    lot: int = 0
    asked: tuple[datetime, ...] = ()
    facts: tuple[tuple[str, object], ...] = ()
    passed: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def sowings(self) -> Iterator[tuple[SeenPlot, SeenLot]]:
        """Each field with the lot that it is sown with; see `lots_of_plots`."""
        for plot, place in zip(self.plots, self.lots_of_plots(), strict=True):
            yield plot, self.lots[place]

    def lots_of_plots(self) -> tuple[int, ...]:
        """Of each field the place of the lot that it is sown with.

        It is the bag that the grower chose for it. Where none was chosen, the field in hand goes with the lot that
        was last chosen to be sown, else with the one in hand, as in the grower's own buy list; but never with one
        that was chosen for another field, which a round may have taken in hand to ask about it. Of the others each
        goes with a lot of its own, in their order, and where lots run out with that of the field in hand.

        >>> fields = SeenPlot(4000.0), SeenPlot(8000.0), SeenPlot(2000.0)
        >>> seed = SeenLot("bought"), SeenLot("saved", number=2)
        >>> Seen("a", plots=fields, plot=1, lots=seed, lot=1).lots_of_plots()
        (0, 1, 1)
        >>> Seen("a", plots=(SeenPlot(4000.0, bag=2), SeenPlot(8000.0)), plot=1, lots=seed, lot=1).lots_of_plots()
        (1, 0)
        """
        places = {lot.number: place for place, lot in enumerate(self.lots)}
        found = {at: places[plot.bag] for at, plot in enumerate(self.plots) if plot.bag in places}
        free = [place for place in range(len(self.lots)) if place not in found.values()]
        if self.plot not in found:
            found[self.plot] = self._usual(free)
        left = iter([place for place in free if place != found[self.plot]])
        for at in range(len(self.plots)):
            if at not in found:
                found[at] = next(left, found[self.plot])
        return tuple(found[at] for at in range(len(self.plots)))

    def _usual(self, free: Sequence[int]) -> int:
        """The lot for the field in hand where none was chosen for it."""
        chosen = [(lot.to_sow, place) for place in free if (lot := self.lots[place]).to_sow is not None]
        if chosen:
            return max(chosen)[1]
        return self.lot if self.lot in free or not free else free[0]
