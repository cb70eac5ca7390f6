"""The growers of a season: when they sow, what is known of them, what they make of a message.

A few of them answer, each in a way of their own. The others are the crowd: they bought their seed, say nothing,
and sow so long before or after the few that one message of the round is all they get in the run.
"""

from __future__ import annotations

import json
import random
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from importlib.resources import files
from pathlib import Path
from zoneinfo import ZoneInfo

from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.figures import figure_changes
from advisor.service.identity import Ids
from advisor.service.stored import Stored, to_bytes
from advisor.store.api import Change, Committed, Store
from tests.service.stage import BANDS
from tests.whole.faults.stage import VILLAGES, ZONE, Size, number_of
from tests.whole.services import SECRET

ROUND = "seed_test"
LANGUAGES = ("en", "sw", "hi", "fr")
#: The days on which those sow who answer, from the first; each runs through the whole of the round.
SOWING = (date(2027, 3, 24), date(2027, 3, 26))
#: Days from a sowing on which something may fall due at eight: those of the round, and those of tests that were
#: put out fifteen and ten days before.
DAYS = (-21, -14, -12, -10, -9, -7, -6, -5, -4, -2, -1, 0, 8)
#: What falls due later in the day: days from a sowing, and when.
LATER = ((-6, "16:00:01"), (-5, "16:00:01"), (-3, "10:00:01"), (-1, "15:00:01"))
#: How they answer. The first four answer at once to all that is asked: to them the round promises to be brief.
KINDS = (
    *("prompt", "caller", "slips", "twice", "late", "later", "day_only", "silent", "bought", "uncounted"),
    "stops",
)
AT_ONCE = frozenset(KINDS[:4])
#: Which kind comes how often.
_SHARES = (4, 3, 3, 3, 2, 2, 2, 1, 2, 1, 3)


@dataclass(frozen=True)
class SeasonSize(Size):
    """How large a season is.

    Args:
        answering: growers who may answer, the first of all; the others are the crowd.
        sowing: the days on which those sow.
        last_day: the run ends so many days after the last of them.
    """

    answering: int = 40
    sowing: tuple[date, ...] = SOWING
    last_day: int = 8

    def with_parts_of(self, whole: Size) -> SeasonSize:
        assert isinstance(whole, SeasonSize)
        stops, answering = (part * self.growers // whole.growers for part in (whole.stops, whole.answering))
        return replace(self, stops=stops, answering=answering)

    @property
    def kill_every(self) -> float:
        """Requests between two kills, half to one and a half of it: so that they end a little before the run."""
        at_least = self.growers - self.answering - self.stops + 9 * self.answering
        return 0.85 * at_least / max(1, self.kills)

    @property
    def rounds(self) -> tuple[str, ...]:
        return (ROUND,)


@dataclass(frozen=True)
class Person:
    """A grower of the run.

    Args:
        number: the phone.
        kind: how she answers, empty for the crowd.
        sows: the day.
        has_field: whether its size is known.
        language: hers.
        plants, early, grown: how many seeds she sows in the test, and how many are up at either count.
        stops: the moment at which she says stop, None for never.
    """

    number: str
    kind: str
    sows: date
    has_field: bool = False
    language: str = "en"
    plants: int = 0
    early: int = 0
    grown: int = 0
    stops: datetime | None = None


def moment(day: date, clock: str) -> datetime:
    return datetime.combine(day, time.fromisoformat(clock), ZoneInfo(ZONE))


def days_of(size: SeasonSize) -> list[date]:
    """The days on which something happens, in their order."""
    last = size.sowing[-1] + timedelta(size.last_day)
    return [day for day in sorted({day + timedelta(days) for day in size.sowing for days in DAYS}) if day <= last]


def moments_of(size: SeasonSize) -> list[datetime]:
    """To what moments the clock is moved, in their order."""
    days = days_of(size)
    found = {moment(day, "08:00:01") for day in days}
    for place, day in enumerate(size.sowing):
        # of the first sowing the evening's message runs into the night
        found.add(moment(day - timedelta(16), "17:00:01" if place else "19:59:56"))
        found |= {moment(day - timedelta(15), clock) for clock in ("06:30:01", "07:30:00")}
        found |= {moment(day + timedelta(days), clock) for days, clock in LATER}
    return sorted(at for at in found if at.date() <= days[-1])


def people_of(size: SeasonSize) -> list[Person]:
    """All growers of a season, by its seed."""
    chance, days = random.Random(size.seed), days_of(size)
    found = [_answering(place, size, chance, days) for place in range(size.answering)]
    found += [_crowd(place, chance, days) for place in range(size.answering, size.growers)]
    # of the crowd some say stop on the day of their message, while it goes out
    for person in chance.sample(range(size.answering, size.growers), size.stops):
        gets = found[person].sows + timedelta(8 if found[person].sows < days[0] else -21)
        after_s = chance.uniform(0.5, size.growers / len(days) / size.per_second)
        found[person] = replace(found[person], stops=moment(gets, "08:00:01") + timedelta(seconds=after_s))
    return found


def _answering(place: int, size: SeasonSize, chance: random.Random, days: list[date]) -> Person:
    kind = KINDS[place] if place < len(KINDS) else chance.choices(KINDS, _SHARES)[0]
    plants = chance.choice((50, 100, 200))
    early = int(plants * chance.uniform(0.14, 0.5))
    # some count fewer than at the first look
    grown = int(plants * chance.uniform(0.3, 1.0)) if chance.random() < 0.8 else max(4, early - 3)
    if kind != "twice" and chance.random() < 0.05:
        grown = 0
    stops = None
    if kind == "stops":
        stops = moment(chance.choice(days), "08:00:01") + timedelta(seconds=chance.uniform(0, 4))
    sows = size.sowing[place % len(size.sowing)]
    return Person(number_of(place), kind, sows, place % 3 == 0, "en", plants, early, grown, stops)


def _crowd(place: int, chance: random.Random, days: list[date]) -> Person:
    """Whose plants are to be counted in the first days, or who is asked for the seed in the last."""
    before = [day - timedelta(8) for day in days if day - timedelta(7) <= days[0]]
    after = [day + timedelta(21) for day in days if day + timedelta(21 - 6) > days[-1]]
    return Person(number_of(place), "", chance.choice(before + after), language=chance.choice(LANGUAGES))


def settle_people(store: Store, people: Iterable[Person], now: datetime, each: int = 250) -> None:
    """Puts growers into the store as if they had agreed and told their day, some hundreds a trip."""
    ids, changes = Ids(SECRET.encode()), []
    for place, person in enumerate(people):
        record = Grower(person.number, agreed=now)
        facts = {
            "grower.language": person.language,
            "grower.village": VILLAGES[place % len(VILLAGES)],
            "plot.sowing": person.sows.isoformat(),
            **({"plot.area": 8094.0} if person.has_field else {}),
            **({} if person.kind else {"lot.origin": "bought"}),
        }
        for name, value in facts.items():
            record = record.knows(name, value, now)
        counts = figure_changes(Grower(), record, BANDS)
        changes.append(Change(ids.number(person.number), 0, to_bytes(Stored(record)), unix_ms(now), counts=counts))
    for start in range(0, len(changes), each):
        for verdict in store.commit_all(changes[start : start + each]):
            if not isinstance(verdict, Committed):
                raise RuntimeError(f"a grower was not put in: {verdict}")


def write_people(
    file: Path, people: Iterable[Person], told: dict[str, list[dict]], started: datetime, ended: datetime
) -> None:
    """For the judge: texts and time of the round in the first line, then who each grower is and what she told."""
    text = files("advisor.rounds").joinpath(f"{ROUND}.toml").read_text(encoding="utf-8")
    steps = [step for step in tomllib.loads(text)["steps"] if "text" in step]
    texts = {step["key"]: list(step["text"].values()) for step in steps}
    with file.open("w", encoding="utf-8") as lines:
        print(json.dumps({"texts": texts, "started": started.timestamp(), "ended": ended.timestamp()}), file=lines)
        for person in people:
            row = {
                "number": person.number,
                "sows": person.sows.isoformat(),
                "has_field": person.has_field,
                "bought": not person.kind,
                "at_once": person.kind in AT_ONCE,
                "told": told.get(person.number, []),
            }
            print(json.dumps(row), file=lines)
