"""What agents are told of a round, of rain or of a late start: once, and of how many growers in their care."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

from advisor.campaign.reading import DAY, GROWERS
from advisor.campaign.rounds import AgentNote, LateStart, Round, Step, holds
from tests.season.checks import HOLIDAYS
from tests.season.timely import COOL, HILLS

if TYPE_CHECKING:
    from tests.season.agents import AtWork
    from tests.season.phones import Phone
    from tests.season.rains import Told
    from tests.season.world import Left


_NIGHT_FROM, _NIGHT_TO, _DAY = time(20), time(6, 30), timedelta(days=1)


def next_allowed(at: datetime) -> datetime:
    """The first moment from then on at which something may leave, both on the clocks of the place."""
    if at.time() >= _NIGHT_FROM:
        at = datetime.combine(at.date() + _DAY, _NIGHT_TO)
    elif at.time() < _NIGHT_TO:
        at = datetime.combine(at.date(), _NIGHT_TO)
    while at.date() in HOLIDAYS:
        at = datetime.combine(at.date() + _DAY, _NIGHT_TO)
    return at


def has_sown(phone: Phone) -> bool:
    """Whether her day of sowing was told on that day or later, as days are counted at Greenwich."""
    day, learnt = phone.known.get("plot.sowing"), phone.learnt.get("plot.sowing")
    return isinstance(day, str) and learnt is not None and day <= learnt.astimezone(UTC).date().isoformat()


def fits(said: Step | AgentNote, phone: Phone) -> bool:
    """Whether somebody has sown, or has not, or has not tested, as a message wants it."""
    known = {**phone.known, "plot.sown": True} if has_sown(phone) else phone.known
    return all(holds(one, known) for one in said.only) and not any(holds(one, known) for one in said.unless)


@dataclass(slots=True)
class Started:
    """What agents are about to be told of.

    Args:
        since: the first moment at which they may be.
        day: the day on which it began.
        villages: the growers of which it is about.
        told: the rain that it hangs on, None for a round that was started late.
        slowed: villages where cool soil slows a test.
    """

    since: datetime
    day: date
    villages: tuple[str, ...]
    told: Told | None = None
    slowed: frozenset[str] = frozenset()

    def is_late(self, note: AgentNote, phone: Phone) -> bool:
        """Whether the round was started late for somebody, as a note wants it; of rain nobody asks that."""
        if not isinstance(note.on, LateStart):
            return True
        sows = phone.known.get(note.on.anchor)
        first, last = note.on.days(COOL if phone.known.get("grower.village") in self.slowed else 1)
        return isinstance(sows, str) and first <= (self.day - date.fromisoformat(sows)).days <= last


@dataclass(slots=True)
class Owed:
    """A message that an agent is to get.

    Args:
        number: the agent's.
        note: what it says.
        growers: of how many.
        day: the day on which it should leave.
    """

    number: str
    note: AgentNote
    growers: int
    day: date


class AgentsTold:
    """Follows what agents are told.

    Args:
        agents: the agents.
        phones: all phones by their numbers.
        zone_of: zone of each village.
        happened: counts.
    """

    def __init__(
        self,
        agents: list[AtWork],
        phones: Mapping[str, Phone],
        zone_of: Mapping[str, str],
        happened: Counter[str],
    ) -> None:
        self._agents, self._phones, self._zone_of, self._happened = agents, phones, zone_of, happened
        self._notes: list[tuple[AgentNote, re.Pattern[str]]] = []
        self._coming: list[tuple[AgentNote, Started]] = []
        self._owed: list[Owed] = []

    def begins(self, found: Round, now: datetime) -> None:
        """A round was started: its notes are known by their texts; those of a late start come by daylight.

        Args:
            found: the round.
            now: on the clocks of the place.
        """
        for note in found.notes:
            for _, text in note.texts:
                shown = re.escape(text).replace(re.escape(DAY), ".{1,20}").replace(re.escape(GROWERS), "([0-9]+)")
                self._notes.append((note, re.compile(shown)))
            if isinstance(note.on, LateStart):
                slowed = frozenset(village for village, zone in self._zone_of.items() if zone == HILLS)
                villages = found.chosen.villages or tuple(self._zone_of)
                started = Started(next_allowed(now), now.date(), villages, slowed=slowed)
                self._coming.append((note, started))

    def are(self, number: str) -> bool:
        """Whether an agent works from a phone: none is on a list of growers here, so that none counts as one."""
        return any(one.phone.number == number for one in self._agents)

    def is_told(self, anchor: str, told: Told) -> None:
        """Something is noted of a zone."""
        villages = tuple(village for village, zone in self._zone_of.items() if zone == told.zone)
        notes = dict.fromkeys(note for note, _ in self._notes if note.on == anchor)
        self._coming += [(note, Started(told.since, told.day, villages, told)) for note in notes]

    def look(self, now: datetime) -> None:
        """The service is about to tell what may be told by now: agents of growers whom it is about are owed it."""
        coming, self._coming = self._coming, []
        for note, started in coming:
            if started.since > now:
                self._coming.append((note, started))
                continue
            about = Counter(
                str(phone.known.get("grower.village"))
                for phone in self._phones.values()
                if phone.agreed and not phone.stopped and not self.are(phone.number)
                if fits(note, phone) and started.is_late(note, phone)
            )
            for one in self._agents if started.told is None or not started.told.ended else ():
                growers = sum(about[village] for village in one.agent.villages if village in started.villages)
                if growers and one.phone.agreed and not one.phone.stopped:
                    self._owed.append(Owed(one.phone.number, note, growers, now.date()))

    def left(self, left: Left) -> Iterator[tuple[str, str]]:
        """What is wrong with a message of no step: kind and words."""
        if not self.are(left.number):
            return
        for note, pattern in self._notes:
            found = pattern.fullmatch(left.text)
            if found is None:
                continue
            owed = [one for one in self._owed if (one.number, one.note) == (left.number, note)]
            if not owed:
                yield "doubled", f"agent {left.number} is told what is not so, or again: {left.text}"
                return
            self._owed.remove(owed[0])
            self._happened[f"agents told of {'a late start' if isinstance(note.on, LateStart) else 'rain'}"] += 1
            if int(found[1]) != owed[0].growers:
                yield "miscounted", f"agent {left.number} is told of {found[1]} growers, not {owed[0].growers}"
            return

    def day_is_over(self, day: date) -> Iterator[tuple[str, str]]:
        """Who was not told; a gateway that refused may take a day."""
        for one in self._owed:
            if one.day < day:
                yield "missed", f"agent {one.number} was not told {one.note.key} of {one.growers} growers"
        self._owed = [one for one in self._owed if one.day >= day]
