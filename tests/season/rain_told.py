"""Who must be told that the rains have begun or were a false start: on the right day, once, and nobody else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from advisor.campaign.rounds import ONSET, ZONE_ANCHORS, OnDay, Round, Step
from tests.season.agents_told import AgentsTold, fits, has_sown, next_allowed
from tests.season.checks import NIGHT
from tests.season.rains import WINDOWS, Told, Zone

if TYPE_CHECKING:
    from tests.season.course import Course
    from tests.season.phones import Phone
    from tests.season.timely import Sent
    from tests.season.world import Left

_DAY = timedelta(days=1)
#: The service looks at gauges once a minute at the most.
_LOOK = timedelta(minutes=1)
_EVENING = time(20)
#: So many messages of rounds a grower gets in a day.
_A_DAY = 3

_State = tuple[bool, bool, str, object, bool]


@dataclass(slots=True)
class News:
    """Something that growers of a zone are told by one step of a round.

    Args:
        step: the step.
        told: what it is about.
        until: the last moment at which it is of use, on the clocks of the place.
        waiting: who is to be told, as they were when that was last looked at.
    """

    step: Step
    told: Told
    until: datetime
    waiting: list[tuple[Phone, _State]] = field(default_factory=list)

    @property
    def mark(self) -> str:
        """What a phone remembers of it."""
        return f"rain {self.step.key} {self.told.zone} {self.told.noted} {self.told.day}"


class RainTold:
    """Follows the rounds that hang on rain.

    Args:
        course: the season.
    """

    def __init__(self, course: Course) -> None:
        world, agents = course.world, course.agents
        self._phones, self._happened, self._refused = course.by_number, course.happened, world.refused
        self._rain, self._zone_of = agents.relayed.rain, world.dialogues.zone_of
        self._agents = AgentsTold(agents.all, self._phones, self._zone_of, self._happened)
        self._zones = [Zone(key, *WINDOWS[key]) for key in sorted(set(self._zone_of.values()))]
        self._steps: list[Step] = []
        self._news: list[News] = []
        self._today: Counter[str] = Counter()
        self._looked: datetime | None = None

    def begins(self, found: Round, at: datetime) -> None:
        """A round was started."""
        self._steps += [step for step in found.steps if _anchor(step) is not None]
        self._agents.begins(found, at.astimezone(NIGHT.zone).replace(tzinfo=None))

    def look(self, at: datetime) -> None:
        """The service is about to look at the gauges."""
        if self._looked is not None and at - self._looked < _LOOK:
            return
        self._looked, now = at, at.astimezone(NIGHT.zone).replace(tzinfo=None)
        for zone in self._zones if self._steps else ():
            zone.look(self._rain_in(zone.key), now)
            for anchor, told in zone.news:
                self._happened[f"rain {'began' if anchor == ONSET else 'broke off'}"] += 1
                for step in self._steps:
                    if _anchor(step) == anchor:
                        self._is_told(step, told)
                told.since = next_allowed(told.since)
                self._agents.is_told(anchor, told)
            zone.news.clear()
        self._agents.look(now)

    def _is_told(self, step: Step, told: Told) -> None:
        assert isinstance(step.when, OnDay)
        due = next_allowed(datetime.combine(told.day + step.when.day * _DAY, step.when.at))
        news = News(step, told, due + step.good_for)
        news.waiting = self._waiting(news)
        self._news.append(news)

    def _rain_in(self, zone: str) -> dict[date, float]:
        """Daily rain of a zone: of each day the mean of its gauges that were read."""
        by_day: dict[date, list[float]] = {}
        for (village, day), mm in self._rain.items():
            if self._zone_of[village] == zone:
                by_day.setdefault(day, []).append(mm)
        return {day: sum(mm) / len(mm) for day, mm in by_day.items()}

    def _waiting(self, news: News) -> list[tuple[Phone, _State]]:
        return [
            (phone, _state(phone))
            for phone in self._phones.values()
            if not phone.got[news.mark] and self._is_for(news, phone)
        ]

    def _is_for(self, news: News, phone: Phone) -> bool:
        """Whether somebody is to be told: agreed, lives there, and has sown or not as the step wants it."""
        village = phone.known.get("grower.village")
        return (
            phone.agreed
            and not phone.stopped
            and not self._agents.are(phone.number)
            and self._zone_of.get(str(village)) == news.told.zone
            and fits(news.step, phone)
        )

    def left(self, left: Left, sent: Sent | None, phone: Phone | None) -> Iterator[tuple[str, str]]:
        """What is wrong with a message that left, kind and words."""
        self._today[left.number] += 1
        if sent is None:
            yield from self._agents.left(left)
        if sent is None or phone is None or _anchor(sent.step) is None:
            return
        now = left.at.astimezone(NIGHT.zone).replace(tzinfo=None)
        zone = self._zone_of.get(str(phone.known.get("grower.village")))
        about = [
            news
            for news in self._news
            if news.step.key == sent.step.key
            and _anchor(news.step) == _anchor(sent.step)
            and news.told.zone == zone
            and news.told.since <= now <= news.until
        ]
        if not about or self._agents.are(left.number):
            yield "misled", f"{left.number} of {zone} got {sent.name}, and nothing of the kind is so"
            return
        mark = about[-1].mark
        phone.got[mark] += 1
        if phone.got[mark] > 1:
            yield "doubled", f"{left.number} got {sent.name} {phone.got[mark]} times of one beginning of the rains"
        if not fits(sent.step, phone) and now.date() - phone.touched > _DAY:
            yield "misled", f"{left.number} got {sent.name}, who has told {phone.known.get('plot.sowing')}"
        self._happened[f"told {'at once' if now.date() == about[-1].told.since.date() else 'later'} of rain"] += 1

    def day_is_over(self, day: date) -> Iterator[tuple[str, str]]:
        """Who should have been told by now: whoever it was for all day, unless something held the message up."""
        self._news = [news for news in self._news if day <= news.until.date()]
        for news in self._news:
            if not news.told.since.date() <= day < news.until.date():
                continue
            for phone, state in news.waiting:
                is_steady = _state(phone) == state and not news.told.ended
                if is_steady and not phone.got[news.mark] and not self._is_held_up(phone, day):
                    yield "missed", f"{phone.number} was not told {news.mark}"
            news.waiting = [] if news.told.ended else self._waiting(news)
        yield from self._agents.day_is_over(day)
        self._today.clear()

    def _is_held_up(self, phone: Phone, day: date) -> bool:
        """A call is not broken into, a gateway refuses, and nobody gets more than so many messages a day."""
        refused = self._refused.get(phone.number)
        if refused is not None:
            # what cannot be tried again while the gateway knows its id is given up: it may have arrived
            at = refused.astimezone(NIGHT.zone).replace(tzinfo=None)
            if next_allowed(datetime.combine(at.date(), _EVENING)) - at > _DAY:
                return True
        return (
            phone.touched >= day
            or self._today[phone.number] >= _A_DAY
            or (refused is not None and refused.astimezone(NIGHT.zone).date() >= day)
        )


def _anchor(step: Step) -> str | None:
    return step.when.anchor if isinstance(step.when, OnDay) and step.when.anchor in ZONE_ANCHORS else None


def _state(phone: Phone) -> _State:
    return phone.agreed, phone.stopped, phone.number, phone.known.get("grower.village"), has_sown(phone)
