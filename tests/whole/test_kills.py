"""Promise 1: a process killed at any instant loses nothing that was acknowledged and repeats no effect."""

from __future__ import annotations

import contextlib
import itertools
import os
import signal
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

from advisor.by_book import bands_of
from advisor.dialogue.talk import EventKind
from advisor.loading import load_book
from advisor.service.figures import village_figures
from advisor.service.identity import Ids
from advisor.service.stored import from_bytes
from advisor.store.api import Store
from advisor.store.opening import open_store
from advisor.store.recount import recount
from simulator.gateway import Gateway
from tests.dialogue.talker import Talker
from tests.servers import redis_server
from tests.whole.services import SECRET, Phone, agree, service

PHONES = 8
MESSAGES = 2000
KILLS = 20
#: What a phone types in each lap; the field changes from lap to lap.
LAP = ("000", "1", "{size}", "1", "1", "4", "1", "{size}", "1")


def _lap(phone: Phone, lap: int) -> None:
    phone.dial()
    for typed in LAP:
        phone.ussd("answer", typed.format(size=1 + lap % 9))
    phone.sms("hello")


class Killer(threading.Thread):
    """Kills a worker and Redis by turns, and starts Redis again on the same folder."""

    def __init__(self, redis, found):
        super().__init__()
        self.redis, self.found = redis, found
        self.kills: list[str] = []
        self.ending = threading.Event()

    def run(self):
        while len(self.kills) < KILLS and not self.ending.wait(0.2):
            if len(self.kills) % 2:
                self.redis.restart()
                self.kills.append("redis")
            elif self._kill_a_worker():
                self.kills.append("worker")

    def _kill_a_worker(self) -> bool:
        for pid in self.found.workers()[:1]:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
                return True
        return False


def test_twenty_kills_during_two_thousand_messages_lose_and_double_nothing(capsys):
    started = time.monotonic()
    with Gateway() as gateway, redis_server() as redis:
        with service(redis.address, workers=2) as found:
            phones = [Phone(f"+9990000{number:04}", (found.address,)) for number in range(PHONES)]
            killer = Killer(redis, found)
            with ThreadPoolExecutor(PHONES) as pool:
                list(pool.map(agree, phones))
                killer.start()
                for lap in itertools.count():
                    done = sum(len(phone.ledger) for phone in phones)
                    if done >= MESSAGES and not killer.is_alive():
                        break
                    list(pool.map(_lap, phones, [lap] * PHONES))
            killer.join()
        for phone in phones:
            phone.close()
        store = open_store(redis.address)
        texts = {phone.number: _assert_store_equals_ledger(store, phone) for phone in phones}
        _assert_figures_add_up(store)
        _assert_each_text_leaves_once(redis.address, store, gateway, texts)
        store.close()

    repeats = sum(phone.repeats for phone in phones)
    assert killer.kills.count("redis") >= KILLS // 2
    assert killer.kills.count("worker") >= KILLS // 2
    assert repeats > 0, "no kill ever met a message, so nothing was shown"
    with capsys.disabled():
        total = sum(len(phone.ledger) for phone in phones)
        spent = time.monotonic() - started
        print(f"\n  {total} messages, {KILLS} kills, {repeats} repeats, {spent:.0f} s; none lost, none doubled")


def _assert_store_equals_ledger(store, phone: Phone) -> list[str]:
    """The store holds what replaying the acknowledged messages gives: each once, in order, none else.

    Returns the text messages that the replay sends.
    """
    talker = Talker(load_book(), datetime.now(UTC).replace(microsecond=0))  # some screens are those of the day
    for event, text, answer in phone.ledger:
        place = "sms" if event == "sms" else f"ussd:{answer['session']}"
        shown = talker.act(EventKind(event), text, place)
        if event != "sms":
            assert (answer["text"], answer["open"]) == (shown, talker.reply.open)

    grower = Ids(SECRET.encode()).number(phone.number)
    acknowledged = [(event, text) for event, text, _ in phone.ledger]
    consent = acknowledged.index(("answer", "1")) + 1
    kept = [dict(line) for line in store.history(grower)]
    assert [(line["event"], line["input"]) for line in kept] == acknowledged[consent:]

    _, value = store.value(grower)
    record = from_bytes(value).record
    assert [(fact.name, fact.value) for fact in record.facts] == [
        (fact.name, fact.value) for fact in talker.grower.facts
    ]
    return talker.texts


def _assert_figures_add_up(store) -> None:
    bands = bands_of(load_book())

    def figures_of(value: bytes):
        village, counters = village_figures(from_bytes(value).record, bands)
        return [(village, counter, 1) for counter in counters]

    assert recount(store, figures_of, ["v1", "v2", "v3"]) == ()
    assert store.counts("v2")["growers"] == PHONES


def _assert_each_text_leaves_once(
    address: str, store: Store, gateway: Gateway, texts: dict[str, list[str]]
) -> None:
    with service(address, workers=1, gateway=gateway.address):
        for number, sent in texts.items():
            arrived = gateway.wait(number, len(sent), patience_s=60)
            assert sorted(message.text for message in arrived) == sorted(sent)
        # The gateway has a message before its acknowledgement is written down; then nothing may be left over.
        far_ms = int(time.time() * 1000) + 10 * 60_000
        until = time.monotonic() + 30
        while store.busy(far_ms).outbox and time.monotonic() < until:
            time.sleep(0.1)
    assert store.busy(far_ms).outbox == ()
    assert gateway.troubles == ()
