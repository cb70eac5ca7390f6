"""A season: the shipped seed-test round on a clock that is moved from day to day, with growers who answer.

The clock goes on only once all that fell due has left and has been answered, so that the judge can tell a message
that came too late from one that was lost. Everything but the gateway is killed meanwhile. Evenings run into the
night with messages that wait, and the morning finds them.
"""

from __future__ import annotations

import contextlib
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from advisor.service.planning import PASS_MS
from advisor.store.api import BUCKETS, StoreUnavailable
from advisor.store.redis_store import RedisStore
from advisor.store.rounds import END
from simulator.signing import keys_in
from tests.servers import redis_server
from tests.whole.faults import judge
from tests.whole.faults.killing import Killer, Senders
from tests.whole.faults.moved import CLOCK, PLANTS, Moved
from tests.whole.faults.people import (
    ROUND,
    SeasonSize,
    moment,
    moments_of,
    people_of,
    settle_people,
    write_people,
)
from tests.whole.faults.phones import Phones
from tests.whole.faults.processes import advisor, gateway, settings_of
from tests.whole.faults.running import differences_in
from tests.whole.faults.season_found import SeasonFound, season_judged
from tests.whole.faults.stage import VILLAGES, write_rows
from tests.whole.services import serving

MODULE = "tests.whole.faults.moved"
#: Nobody has said anything for so long, and nothing is under way that a stop could meet: a claim is a second old.
STILL_S = 0.6
#: What is leased or tried again within so long is waited for.
SOON_S = 600
#: So far the clock goes where nothing but that is left.
LEAP = timedelta(seconds=20)
NIGHT = ("20:00:00", "06:30:00")


@dataclass
class Days:
    """The calendar of a run.

    Args:
        clock: the moved one.
        store: looked into, to see what is left to do.
        phones: who answers.
        until_s: when the run is given up.
    """

    clock: Moved
    store: RedisStore
    phones: Phones
    until_s: float

    def go(self, moments: list[datetime]) -> bool:
        """Moves the clock from moment to moment; whether all was done at each in time."""
        for place, at in enumerate(moments):
            if at > self.clock.now():
                self.clock.move_to(at)
            following = moments[place + 1] if place + 1 < len(moments) else at + timedelta(hours=2)
            if f"{at:%H}" == "19":
                self._pass_evening(at)
            elif not self._is_done(following):
                return False
            if f"{at:%H:%M}" == "07:30":
                self.phones.is_morning()
                self._is_done(following)
        return True

    def _pass_evening(self, at: datetime) -> None:
        """Into the night and some seconds on; what waits then leaves in the morning."""
        night = moment(at.date(), NIGHT[0]) + timedelta(seconds=3)
        while self.clock.now() < night or not self._are_still():
            time.sleep(0.05)

    def _is_done(self, following: datetime) -> bool:
        """Waits until nothing is left to do at this moment; whether that came about."""
        done_at = time.monotonic()
        while time.monotonic() < self.until_s:
            left_now, left_soon = self._left()
            if left_now or not self._are_still():
                done_at = time.monotonic()
            elif not left_soon:
                return True
            elif time.monotonic() - done_at > STILL_S:
                # a lease of somebody who was killed, or a message that is to be tried again
                self.clock.move_to(min(self.clock.now() + LEAP, following))
                done_at = time.monotonic()
            time.sleep(0.1)
        return False

    def _are_still(self) -> bool:
        return self.phones.are_still and time.monotonic() - self.phones.last_word_s > STILL_S

    def _left(self) -> tuple[bool, bool]:
        """Whether something is left to do now, and soon."""
        now_ms = int(self.clock.now_s() * 1000)
        try:
            if self._is_work(now_ms):
                return True, True
            places = [self.store.place(bucket, ROUND) for bucket in range(BUCKETS)]
            is_planned = all(place.after == END and now_ms - place.pass_ms < PASS_MS for place in places)
            # what was planned meanwhile is due
            is_left = not is_planned or self._is_work(now_ms)
            return is_left, is_left or self._is_work(now_ms + SOON_S * 1000)
        except StoreUnavailable:
            return True, True

    def _is_work(self, at_ms: int) -> bool:
        return bool(self.store.due_in((ROUND,), at_ms)[0] or self.store.busy(at_ms).outbox)


def run_season(size: SeasonSize) -> SeasonFound:
    """Runs and judges it; its files are kept nowhere."""
    begun_s = time.monotonic()
    people, moments = people_of(size), moments_of(size)
    with tempfile.TemporaryDirectory() as name, contextlib.ExitStack() as stack:
        folder = Path(name)
        clock = Moved(folder / "clock")
        clock.move_to(moments[0] - timedelta(minutes=90))
        redis = stack.enter_context(redis_server())
        store = RedisStore(redis.address, timeout_s=9)
        store.open()
        stack.callback(store.close)
        settle_people(store, people, clock.now() - timedelta(minutes=1))
        settings = settings_of(size, redis.address) | {CLOCK: str(clock.file), PLANTS: size.plant}
        started, starter = clock.now(), stack.enter_context(ThreadPoolExecutor(1))
        starting = starter.submit(advisor, settings, "round", "start", ROUND, module=(MODULE, "advisor"))
        service = stack.enter_context(serving(MODULE, "advisor", "serve", "--workers", "2", **settings))
        settings["SOWING_GATEWAY"] = stack.enter_context(
            gateway(size, folder, service.address, settings, (MODULE, "simulator"))
        )
        command = (sys.executable, "-m", MODULE, "advisor", "send")
        senders = stack.enter_context(Senders(command, settings, folder))
        senders.start(size.senders)
        starting.result()
        with Phones(people, service.address, keys_in(settings), clock, folder / "sent.jsonl") as phones:
            killer = Killer(size, redis, service, senders, lambda: phones.handed)
            stack.callback(killer.end, 0)
            killer.start()
            is_over = Days(clock, store, phones, begun_s + size.limit_s).go(moments)
            killed_by_then = len(killer.done)
            killer.end(0)
        senders.look()
        write_people(folder / "growers.jsonl", people, phones.told, started, clock.now())
        write_rows(folder / "stops.jsonl", ({"number": one, "at": at_s} for one, at_s in phones.stops.items()))
        handed = list(judge.rows(folder / "sent.jsonl"))
        return SeasonFound(
            size=size,
            judgement=season_judged(folder, *NIGHT),
            kills=Counter(kind for _, kind in killer.done),
            kills_met=killed_by_then,
            told=tuple(
                advisor(settings, "round", "status", key, module=(MODULE, "advisor")).strip()
                for key in size.looked_at
            ),
            differences=differences_in(store) if size.looked_at else (),
            tested=sum(store.counts(village).get("tested", 0) for village in VILLAGES),
            ended=[*senders.ended, *phones.faults],
            left=not is_over,
            stopped=len(phones.stops),
            fates=Counter(one["fate"] for one in handed),
            days=(moments[-1] - moments[0]).days,
            seconds=time.monotonic() - begun_s,
        )
