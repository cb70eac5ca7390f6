"""What an agent's lists see of a grower: fields and lots of seed with what is still fresh of them, and no more.

A list goes over a hundred thousand growers, so this is read straight from what is stored (`service.surveying`),
and holds neither answers nor texts. Each plot and each lot counts, the ones aside as the one in hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from advisor.agronomy.germination import SeedTest


@dataclass(frozen=True, slots=True)
class SeenPlot:
    """A field.

    Args:
        area_m2: its size, None while it is not known.
        sowing: the day that is meant for sowing, or on which it was sown; None while it is not known.
        spacing: key of the spacing that was chosen, empty for the usual one.
    """

    area_m2: float | None = None
    sowing: date | None = None
    spacing: str = ""


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
    """

    origin: str = ""
    test: SeedTest | None = None
    tested: datetime | None = None
    begun: date | None = None
    closed: str = ""
    closed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """A grower who has agreed.

    Args:
        grower: id of the grower.
        village: key of the village, empty while it is not known.
        number: E.164 number; shown only where somebody asks for it.
        hears: whether messages may be sent; not after a stop.
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
    hears: bool = True
    told: datetime | None = None
    plots: tuple[SeenPlot, ...] = (SeenPlot(),)
    plot: int = 0
    lots: tuple[SeenLot, ...] = (SeenLot(),)
    lot: int = 0
    asked: tuple[datetime, ...] = ()
    facts: tuple[tuple[str, object], ...] = ()
    passed: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def sowings(self) -> Iterator[tuple[SeenPlot, SeenLot]]:
        """Each field with the lot that it is sown with.

        The field in hand goes with the lot in hand, as in the grower's own buy list. Of the others each goes with
        a lot of its own, in their order, and where lots run out with the one in hand: nobody asks growers which.

        >>> fields = SeenPlot(4000.0), SeenPlot(8000.0), SeenPlot(2000.0)
        >>> ann = Seen("a", plots=fields, plot=1, lots=(SeenLot("bought"), SeenLot("saved")), lot=1)
        >>> [(plot.area_m2, lot.origin) for plot, lot in ann.sowings()]
        [(4000.0, 'bought'), (8000.0, 'saved'), (2000.0, 'saved')]
        """
        in_hand = self.lots[self.lot]
        others = iter((*self.lots[: self.lot], *self.lots[self.lot + 1 :]))
        for place, plot in enumerate(self.plots):
            yield plot, in_hand if place == self.plot else next(others, in_hand)
