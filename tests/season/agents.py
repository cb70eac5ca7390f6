"""Agents with a basic phone: they record for growers in their care, read gauges, and mistype the PIN at times."""

from __future__ import annotations

import random
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

import pytest

from advisor.agronomy.programme import Agent
from advisor.dialogue.talk import EventKind, Tell
from advisor.service import caring
from advisor.service.pins import Pins
from tests.season.agent_words import BACKS, LOCKED, OPEN, RAIN_BACK, RAIN_NOTED, Errand
from tests.season.characters import LANGUAGES
from tests.season.minds import Said
from tests.season.phones import Phone
from tests.season.relayed import Recorded, Relayed
from tests.season.weather import READ_FROM, READ_TO, Weather

if TYPE_CHECKING:
    from tests.season.course import Course

_PINS = ("507182", "830264", "61930275")
_WRONG = "111222"
#: Days on which an agent mistypes the PIN five times; an office opens the first one again.
_FORGETS = (45, 80)
_READS_EVERY = 4
_LOCKED_FOR = timedelta(days=1, seconds=1)
_SCREENS_MOST = 40
#: Chances of a slip at the PIN, of the last digits for a grower, of relays that wait for the service's next round,
#: and of a wrong number for the rain of a day, which the next call puts right.
_SLIP, _SHORT, _WAITS, _AMISS = 0.1, 0.2, 0.3, 0.05
#: So many days of rain an agent tells in one call.
_DAYS_A_CALL = 9
#: Of so many growers one is called for by the agent of others.
_ASTRAY = 15


@dataclass(slots=True)
class AtWork:
    """An agent.

    Args:
        agent: as the programme names them.
        phone: theirs.
        pin: theirs.
        language: place of their language.
        chance: theirs alone.
        locked_until: until when no PIN counts, None where it was never locked.
        read_to: the last day whose rain has been told.
        amiss: pairs of village and day whose rain was told amiss.
    """

    agent: Agent
    phone: Phone
    pin: str
    language: int
    chance: random.Random
    locked_until: datetime | None = None
    read_to: date = date.min
    amiss: list[tuple[int, date]] = field(default_factory=list)


class Agents:
    """The agents of a season.

    Args:
        course: the season that they work in.
    """

    def __init__(self, course: Course) -> None:
        self._course, self._world = course, course.world
        self.relayed = Relayed(course.world, course.happened)
        self._pins = Pins(self._world.store, self._world.clock, self._world.ids)
        self._villages = [village.key for village in self._world.book.programme.villages]
        self._calls = 0
        self._weather = Weather(course.plan.seed, course.day(0), self._world.dialogues.zone_of)
        self._reads_all = any(begins.hangs_on_rain for begins in course.plan.rounds)
        self.all = [
            AtWork(
                agent, Phone(agent.number, self._world.ids.number(agent.number)), pin, at,
                random.Random(f"agent {course.plan.seed} {agent.key}"),
            )
            for at, (agent, pin) in enumerate(zip(self._world.book.programme.agents, _PINS, strict=False))
        ]  # fmt: skip

    def means_to(self) -> Iterator[tuple[int, float, int, str]]:
        """What they do by themselves: day, hour, which agent, and what."""
        for at, one in enumerate(self.all):
            yield 1, 8 + at, at, "come"
            yield from (
                (day, 16.5 + at, at, "rain") for day in range(3 + at, self._course.plan.days, _READS_EVERY)
            )
            yield from ((day + 3 * at, 9.0, at, "tries") for day in _FORGETS)
            yield _FORGETS[0] + 3 * at, 15.0, at, "unlock"
            for who in self._course.who:
                is_mine = self._villages[who.village] in one.agent.villages
                if who.cared and at < 2 and is_mine != (who.place % _ASTRAY == 0):
                    yield from ((day, 10 + at, at, f"{what} {who.place}") for day, what in who.cared)

    def acts(self, at: int, goal: str) -> None:
        """An agent does one thing."""
        one = self.all[at]
        what, _, place = goal.partition(" ")
        now = self._world.clock.now()
        is_locked = one.locked_until is not None and now < one.locked_until
        if what == "unlock":
            if is_locked:
                self._pins.unlock(one.agent)
                one.locked_until = None
                self._course.happened["PINs unlocked"] += 1
            return
        if what not in ("come", "rain", "tries") and not self._is_of_use(what, int(place)):
            return
        if what != "come" and not one.phone.agreed:
            return
        errand = self._errand(one, what, place)
        phone = self._course.phones[int(place)] if place else None
        self._talks(one, errand, phone)
        if what == "come":
            self._pins.set(one.agent, one.pin)
        if is_locked and what not in ("come", "tries"):
            wait = one.locked_until - now if one.locked_until is not None else timedelta()
            self._course.note(now + wait + timedelta(hours=1), -1 - at, goal)
        if one.chance.random() > _WAITS:
            self._course.relay(one.phone.grower)

    def _is_of_use(self, what: str, place: int) -> bool:
        """Whether there is anything to record: a count belongs to a test that runs."""
        known = self._course.phones[place].known
        return what in ("sown", "field") or "lot.test_day" in known

    def _errand(self, one: AtWork, what: str, place: str) -> Errand:
        chance, today = one.chance, self._course.today()
        pin = [_WRONG] * 5 + [one.pin] if what == "tries" else [one.pin]
        if what not in ("tries", "come") and chance.random() < _SLIP:
            pin = [_WRONG, one.pin]
        errand = Errand(what, pin, language=one.language, day=today)
        errand.village = self._villages.index(one.agent.villages[chance.randrange(len(one.agent.villages))])
        if what == "rain":
            self._reads(one, errand, today)
        if place:
            who, number = self._course.who[int(place)], self._course.phones[int(place)].number
            errand.grown = who.early if what == "first" else who.grown
            errand.sown, errand.digits = who.sown, [number, number]
            if what == "field":
                errand.day = self._course.minds[int(place)].sows
            if chance.random() < _SHORT:
                errand.digits.insert(0, number[-7:])
        return errand

    def _reads(self, one: AtWork, errand: Errand, today: date) -> None:
        """What is told of a gauge: what was told amiss, and all days since the last call or one of the last."""
        if one.amiss:
            errand.village = one.amiss[0][0]
        days = [day for village, day in one.amiss if village == errand.village]
        first, last = self._course.day(READ_FROM), self._course.day(READ_TO)
        if self._reads_all and one is not self.all[-1] and first <= today <= last:
            since = max(one.read_to + timedelta(days=1), first)
            days += [since + timedelta(days=at) for at in range((today - since).days + 1)]
        else:
            days.append(today - timedelta(days=one.chance.choice((0, 0, 1, 2))))
        village = self._villages[errand.village]
        for day in days[:_DAYS_A_CALL]:
            mm = self._weather.mm(village, day)
            is_amiss = (errand.village, day) not in one.amiss and one.chance.random() < _AMISS
            # a full stop too far to the right or to the left
            wrong = round(mm * one.chance.choice((10, 0.1)), 1) if is_amiss else mm
            errand.rain.append((day, (wrong or 7.0) if is_amiss else mm))

    def _noted(self, one: AtWork, errand: Errand) -> None:
        """The service has taken the rain of a day."""
        day, mm = errand.rain[0]
        village, place = self._villages[errand.village], (errand.village, day)
        self.relayed.reads(village, day, mm)
        self._course.happened["gauges read"] += 1
        one.read_to = max(one.read_to, day)
        if place in one.amiss:
            one.amiss.remove(place)
            self._course.happened["readings put right"] += 1
        elif mm != self._weather.mm(village, day):
            one.amiss.append(place)

    def _talks(self, one: AtWork, errand: Errand, phone: Phone | None) -> None:
        """A call of an agent's, screen by screen."""
        self._calls += 1
        now = self._world.clock.now()
        one.phone.touched = self._course.today()
        is_locked = one.locked_until is not None and now < one.locked_until
        kind, typed, place, before, wrong = EventKind.BEGIN, "", f"ussd:agent-{self._calls}", "", 0
        self._course.happened["calls of agents"] += 1
        for _ in range(_SCREENS_MOST):
            self._course.tells(one.phone, kind, typed, place)
            spot = self._world.spot
            self._judges_pin(one, spot, typed, before, is_locked)
            if before.endswith(".pin") and spot == before:
                wrong += 1
            if wrong == 5 and not is_locked:
                is_locked, one.locked_until = True, self._world.clock.now() + _LOCKED_FOR
                self._course.happened["PINs locked"] += 1
            if before == "agent_work.grower":
                self._judges_care(one, phone, spot, typed)
            if before in BACKS and spot == "agent_work.done" and phone is not None:
                self._recorded(one, errand, phone)
            if before == RAIN_BACK and spot == RAIN_NOTED:
                self._noted(one, errand)
            if before == "welcome.consent":
                one.phone.agreed = True
            if before == "welcome.where":
                one.phone.known["grower.language"] = LANGUAGES[one.language]
                one.phone.known["grower.village"] = self._villages[errand.village]
            said = errand.says(spot) if spot and wrong < 7 else None
            if said is None:
                return
            kind, typed, before = EventKind.ANSWER, said, spot
            self._world.clock.wait(6)
        self._course.checks.met("circle", now, f"{one.phone.number} goes in circles at {before} for {errand.what}")

    def _judges_pin(self, one: AtWork, spot: str, typed: str, before: str, is_locked: bool) -> None:
        """Nothing opens the work but the PIN, and while it is locked nothing does."""
        if spot in OPEN and before.endswith(".pin") and (is_locked or typed != one.pin):
            self._course.checks.met("pin", self._world.clock.now(), f"{typed} opened the work of {one.agent.key}")
        if spot in LOCKED and not is_locked:
            self._course.checks.met("pin", self._world.clock.now(), f"{one.agent.key} is locked for nothing")

    def _judges_care(self, one: AtWork, phone: Phone | None, spot: str, typed: str) -> None:
        """A number typed in full leads to whoever is in the agent's care, and to nobody else."""
        if phone is None or typed != phone.number:
            return
        is_mine = phone.agreed and phone.known.get("grower.village") in one.agent.villages
        if is_mine != (spot in ("agent_work.what", "agent_work.bag")):
            about = f"{one.agent.key} came to {spot} with {typed}, in care is {is_mine}"
            self._course.checks.met("care", self._world.clock.now(), about)
        self._course.happened["not in care"] += not is_mine

    def _recorded(self, one: AtWork, errand: Errand, phone: Phone) -> None:
        outcome, now = self._world.outcome, self._world.clock.now()
        tells = [effect for effect in outcome.effects if isinstance(effect, Tell)] if outcome else []
        facts, forgets = errand.tells
        if len(tells) != 1 or dict(tells[0].facts) != facts:
            self._course.checks.met("lost", now, f"{one.agent.key} told {facts}, recorded is {tells}")
            return
        texts = frozenset(
            self._world.dialogues.told_text(tells[0].screen, dict(tells[0].values), language, now)[0]
            for language in self._world.book.programme.languages
        )
        self.relayed.records(Recorded(phone, now, Said("", facts, forgets), texts))
        self._course.happened[f"recorded {errand.what}"] += 1

    def day_is_over(self) -> Iterator[tuple[str, str]]:
        """What does not hold at the end of a day, kind and words."""
        yield from self.relayed.day_is_over(self._world.clock.now())
        for one in self.all:
            version_value = self._world.store.value(one.phone.grower)[1] or b""
            typed = [dict(line).get("input", "") for line in self._world.store.history(one.phone.grower)[-200:]]
            if one.pin.encode() in version_value or any(one.pin in text or _has_number(text) for text in typed):
                yield "kept", f"of what {one.agent.key} typed more is kept than may be"


def _has_number(text: str) -> bool:
    return sum(sign.isdigit() for sign in text) >= 7


@contextmanager
def quick_pins() -> Iterator[None]:
    """The slow hash is worked out once for each PIN and salt: how slow it is, is not what a season is about."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(caring, "mark_of", lru_cache(maxsize=64)(caring.mark_of))
        yield
