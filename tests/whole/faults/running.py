"""A fault run: a round goes out while everything but the gateway is killed, and then is judged.

Real Redis with its append-only file, web workers, senders that plan and hand over, and the stand-in gateway as a
process of its own. Stops come in as signed SMS meanwhile; so do calls of newcomers.
"""

from __future__ import annotations

import contextlib
import random
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from advisor.by_book import bands_of
from advisor.loading import load_book
from advisor.service.figures import village_figures
from advisor.service.stored import from_bytes
from advisor.store.api import BUCKETS, StoreUnavailable
from advisor.store.recount import Difference, recount
from advisor.store.redis_store import RedisStore
from simulator.signing import keys_in
from tests.servers import redis_server
from tests.whole.faults import judge
from tests.whole.faults.found import Found
from tests.whole.faults.killing import Killer, Senders
from tests.whole.faults.processes import advisor, gateway, judged, settings_of, status_in
from tests.whole.faults.stage import (
    FIRST,
    SECOND,
    TEXTS,
    VILLAGES,
    Size,
    number_of,
    programme_with_night,
    settle,
    wait_until,
    write_growers,
    write_rounds,
    write_rows,
)
from tests.whole.services import Phone, agree, serving

#: Numbers of those who call for the first time begin here.
NEWCOMERS = 5_000_000


def run(size: Size) -> Found:
    """Runs and judges it; its files are kept nowhere."""
    begun_s = time.monotonic()
    until_s = begun_s + size.limit_s
    numbers = [number_of(place) for place in range(size.growers)]
    with tempfile.TemporaryDirectory() as name, contextlib.ExitStack() as stack:
        folder = Path(name)
        redis = stack.enter_context(redis_server())
        store = RedisStore(redis.address, timeout_s=9)
        store.open()
        stack.callback(store.close)
        settle(store, numbers)
        write_growers(folder / "growers.jsonl", size)
        write_rounds(folder)
        settings = settings_of(size, redis.address)
        module = ("tests.whole.faults.planted", size.plant) if size.plant else ("advisor",)
        started_s = time.monotonic()
        service = stack.enter_context(serving(*module, "serve", "--workers", "2", **settings))
        takes_s = time.monotonic() - started_s
        settings["SOWING_GATEWAY"] = stack.enter_context(gateway(size, folder, service.address, settings))
        advisor(settings, "round", "start", str(folder / f"{FIRST}.toml"))

        night_s = time.time() + size.quiet_after_s
        if size.quiet_after_s > 0:
            # the senders all start at once, and are to be at work for a while before quiet hours
            night_s += takes_s * (1 + size.senders) / 2
        night = programme_with_night(folder / "programme.toml", night_s, size.quiet_for_s)
        settings["SOWING_PROGRAMME"] = str(folder / "programme.toml")
        senders = stack.enter_context(Senders((sys.executable, "-m", *module, "send"), settings, folder))
        senders.start(size.senders)
        wait_until(lambda: (folder / "sent.jsonl").read_text(), 60)

        killer = Killer(size, redis, service, senders)
        stack.callback(killer.end, 0)
        killer.start()
        starter = ThreadPoolExecutor(1)
        starting = starter.submit(start_second, size, folder, settings)
        stops = talk(size, numbers, service.address, settings, until_s)
        write_rows(folder / "stops.jsonl", ({"number": one, "at": at_s} for one, at_s in stops.items()))
        killer.end(max(1.0, until_s - time.monotonic()))
        starting.result()
        starter.shutdown()
        left = not wait_until(lambda: is_over(store, size), max(1.0, until_s - time.monotonic()), 0.5)
        senders.look()

        handed = list(judge.rows(folder / "sent.jsonl"))
        moments = [one["at"] for one in handed] or [0.0]
        to = {key: {one["to"] for one in handed if one["text"] == TEXTS[key]} for key in size.rounds}
        return Found(
            size=size,
            judgement=judged(folder, *night),
            kills=Counter(kind for _, kind in killer.done),
            kills_met=sum(moments[0] <= at_s <= moments[-1] for at_s, _ in killer.done),
            told={key: status_in(advisor(settings, "round", "status", key)) for key in size.looked_at},
            differences=differences_in(store) if size.looked_at else (),
            ended=senders.ended,
            left=left,
            stopped=len(stops),
            handed_to={key: (len(each - stops.keys()), len(each & stops.keys())) for key, each in to.items()},
            fates=Counter(one["fate"] for one in handed),
            before_night=sum(at_s < night_s for at_s in moments),
            seconds=time.monotonic() - begun_s,
        )


def talk(
    size: Size, numbers: list[str], service: str, settings: dict[str, str], until_s: float
) -> dict[str, float]:
    """Has growers say stop and newcomers call, spread over the time that the round takes.

    Returns:
        When each stop was answered, in Unix seconds.
    """
    chance, keys = random.Random(size.seed + 1), keys_in(settings)
    coming = [number_of(NEWCOMERS + place) for place in range(size.newcomers)]
    stopping = set(chance.sample(numbers, size.stops))
    planned = sorted((chance.uniform(0, size.takes_s), number) for number in (*coming, *sorted(stopping)))
    stops: dict[str, float] = {}
    begun_s = time.monotonic()

    def speak(at_s: float, number: str) -> None:
        time.sleep(max(0.0, begun_s + at_s - time.monotonic()))
        if time.monotonic() > until_s:
            return
        with contextlib.closing(Phone(number, (service,), keys)) as phone:
            if number in stopping:
                phone.sms("STOP")
                stops[number] = time.time()
            else:
                agree(phone)

    with ThreadPoolExecutor(8) as pool:
        for one in [pool.submit(speak, at_s, number) for at_s, number in planned]:
            one.result()
    return stops


def start_second(size: Size, folder: Path, settings: dict[str, str]) -> None:
    """Starts the second round, if there is one, again and again while the store is away; that does no harm."""
    if size.second_after is None:
        return
    time.sleep(size.second_after * size.takes_s)
    for left in reversed(range(5)):
        try:
            advisor(settings, "round", "start", str(folder / f"{SECOND}.toml"))
            return
        except RuntimeError:
            if not left:
                raise


def is_over(store: RedisStore, size: Size) -> bool:
    """Whether all is planned and nothing waits any more."""
    far_ms = int(time.time() * 1000) + 24 * 3_600_000
    try:
        standings = [store.standing(key) for key in size.rounds]
        is_planned = all(each.planned == BUCKETS and not each.waiting for each in standings)
        return is_planned and not store.busy(far_ms).outbox
    except StoreUnavailable:
        return False


def differences_in(store: RedisStore) -> tuple[Difference, ...]:
    """Village figures that are not what the growers add up to."""
    bands = bands_of(load_book())

    def figures_of(value: bytes) -> list[tuple[str, str, int]]:
        village, counters = village_figures(from_bytes(value).record, bands)
        return [(village, counter, 1) for counter in counters]

    return recount(store, figures_of, VILLAGES)
