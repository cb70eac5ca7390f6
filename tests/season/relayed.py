"""What agents have recorded: what of it must be kept once it is relayed, and who must have been told so, once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from advisor.service.gauging import Gauges
from tests.season.minds import Said
from tests.season.phones import Phone

if TYPE_CHECKING:
    from tests.season.world import Left, World

#: What an agent recorded is of use as news for three days.
_TOLD_WITHIN = timedelta(days=3)


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """What an agent recorded of a grower.

    Args:
        phone: the grower's.
        at: when.
        said: what is known from then on.
        texts: what the grower is told, in each language; the first page where it has several.
    """

    phone: Phone
    at: datetime
    said: Said
    texts: frozenset[str]

    def is_told_by(self, left: Left) -> bool:
        """Whether a message is the one that tells it."""
        return self.phone.number == left.number and left.text in self.texts


class Relayed:
    """Follows what agents record.

    Args:
        world: the service, whose gauges are read.
        happened: counts.

    ``rain`` holds the readings that have arrived, by village and day.
    """

    def __init__(self, world: World, happened: Counter[str]) -> None:
        self._world, self._happened = world, happened
        self._pending: list[Recorded] = []
        self._awaited: list[Recorded] = []
        self._arrived: list[Recorded] = []
        self._texts: set[str] = set()
        self.rain: dict[tuple[str, date], float] = {}
        self._pending_rain: list[tuple[str, date, float]] = []

    def records(self, one: Recorded) -> None:
        """An agent has recorded something."""
        self._pending.append(one)
        self._texts |= one.texts

    def reads(self, village: str, day: date, mm: float) -> None:
        """An agent has read a gauge."""
        self._pending_rain.append((village, day, mm))

    def applied(self) -> None:
        """The service has gone over its relays: the grower's own later word stands, all else is known now."""
        for village, day, mm in self._pending_rain:
            self.rain[village, day] = mm
        self._pending_rain.clear()
        for one in self._pending:
            phone = one.phone
            if not phone.agreed or any(phone.said_after(name, one.at) for name in one.said.tells):
                self._happened["recorded too late"] += 1
                continue
            phone.takes_up(self._world.bag_in_hand(phone.grower))
            phone.tells(one.said, one.at)
            phone.touched = max(phone.touched, one.at.date())
            phone.stirred = self._world.clock.now().date()
            if one in self._arrived:
                self._arrived.remove(one)
            elif not phone.stopped:
                self._awaited.append(one)
        self._pending.clear()

    def left(self, left: Left) -> tuple[str, str] | None:
        """A message that is of no round left; what is wrong with it, None where nothing is."""
        if left.text not in self._texts:
            return None
        waiting = [one for one in self._awaited if one.is_told_by(left)]
        coming = [one for one in self._pending if one.is_told_by(left) and one not in self._arrived]
        if waiting:
            self._awaited.remove(waiting[0])
        elif coming:
            self._arrived.append(coming[0])
        else:
            return "doubled", f"{left.number} was told again, or amiss, what an agent had recorded: {left.text}"
        self._happened["told what was recorded"] += 1
        return None

    def day_is_over(self, now: datetime) -> Iterator[tuple[str, str]]:
        """What does not hold at the end of a day, kind and words."""
        for one in self._arrived:
            yield "doubled", f"{one.phone.number} was told what was not recorded: {one.said.tells}"
        self._arrived.clear()
        late = [one for one in self._awaited if now - one.at > _TOLD_WITHIN]
        self._awaited = [one for one in self._awaited if now - one.at <= _TOLD_WITHIN]
        for one in late:
            if one.phone.agreed and not one.phone.stopped:
                yield "untold", f"{one.phone.number} was not told what an agent had recorded: {one.said.tells}"
        gauges, programme = (
            Gauges(self._world.store, self._world.clock, self._world.ids),
            self._world.book.programme,
        )
        kept = {
            (reading.village, reading.day): reading.mm
            for zone in programme.zones
            for reading in gauges.of(zone.key).readings
        }
        if kept != self.rain:
            yield "rain", f"readings differ: {sorted(kept.items() ^ self.rain.items())[:4]}"
