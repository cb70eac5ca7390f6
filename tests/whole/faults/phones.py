"""The phones of a season: read what the gateway hands over, and answer, each grower in her own way.

What was acknowledged is noted with its moment, for the judge.
"""

from __future__ import annotations

import json
import threading
import time
from collections import defaultdict
from collections.abc import Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import httpx

from simulator.signing import Keys
from tests.whole.faults.judge import TAKEN
from tests.whole.faults.minds import Mind, Said
from tests.whole.faults.moved import Moved
from tests.whole.faults.people import Person
from tests.whole.faults.stage import ZONE
from tests.whole.services import Phone

#: Of the messages that were answered every so many-th comes again under its id, as from a gateway that missed it.
AGAIN_EACH = 7


class Phones:
    """All phones; to be used in a ``with``.

    Args:
        people: all growers.
        service: address of the service.
        keys: what the gateway signs with.
        clock: the moved one.
        ledger: the gateway's file.
    """

    def __init__(self, people: Iterable[Person], service: str, keys: Keys, clock: Moved, ledger: Path) -> None:
        self._clock, self._ledger = clock, ledger
        self._minds = {person.number: Mind(person) for person in people if person.kind or person.stops}
        self._client = httpx.Client(timeout=5.0, trust_env=False)
        self._phones = {
            number: Phone(number, (service,), keys, clock.now_s, self._client) for number in self._minds
        }
        self._locks = {number: threading.Lock() for number in self._minds}
        self._stopping = sorted(
            ((mind.person.stops, number) for number, mind in self._minds.items() if mind.person.stops),
            reverse=True,
        )
        self._pool = ThreadPoolExecutor(8)
        self._ending, self._busy = threading.Event(), 0
        self._counting = threading.Lock()
        self._seen: set[str] = set()
        self._read = 0
        self._mornings: list[str] = []
        self.told: dict[str, list[dict]] = defaultdict(list)
        self.stops: dict[str, float] = {}
        self.faults: list[str] = []
        self.handed = 0
        self.last_word_s = time.monotonic()

    def __enter__(self) -> Phones:
        self._reader = threading.Thread(target=self._keep_reading, daemon=True)
        self._reader.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._ending.set()
        self._reader.join()
        self._pool.shutdown(cancel_futures=True)
        self._client.close()

    @property
    def are_still(self) -> bool:
        """Whether all that was handed over is read, and all that is to be said is said."""
        return self._ledger.stat().st_size == self._read and not self._busy

    def is_morning(self) -> None:
        """Who was told in the evening has put out the test by now."""
        put_out, self._mornings = self._mornings, []
        for number in put_out:
            self._submit(number, None)

    def _keep_reading(self) -> None:
        """Reads on, and has those stop whose moment has come."""
        while not self._ending.wait(0.02):
            now = self._clock.now()
            while self._stopping and self._stopping[-1][0] <= now:
                self._submit(self._stopping.pop()[1], "STOP", stops=True)
            with self._ledger.open("rb") as lines:
                lines.seek(self._read)
                fresh = lines.read()
            whole = fresh[: fresh.rfind(b"\n") + 1]
            for line in whole.splitlines():
                self._arrives(json.loads(line))
            self._read += len(whole)

    def _arrives(self, one: dict) -> None:
        self.handed += 1
        if one["fate"] in TAKEN and one["id"] not in self._seen and one["to"] in self._minds:
            self._seen.add(one["id"])
            self._submit(one["to"], one["text"])

    def _submit(self, number: str, text: str | None, *, stops: bool = False) -> None:
        with self._counting:
            self._busy += 1
        self._pool.submit(self._say, number, text, stops).add_done_callback(self._is_done)

    def _is_done(self, done: Future[None]) -> None:
        self.last_word_s = time.monotonic()
        if not done.cancelled() and (fault := done.exception()) is not None:
            self.faults.append(repr(fault))
        with self._counting:
            self._busy -= 1

    def _say(self, number: str, text: str | None, stops: bool) -> None:
        mind, phone = self._minds[number], self._phones[number]
        with self._locks[number]:
            if number in self.stops:
                return
            if stops:
                phone.sms("STOP")
                self.stops[number] = self._clock.now_s()
                return
            if text is not None and mind.is_for_tomorrow(text):
                self._mornings.append(number)
            elif mind.person.kind != "caller":
                for one in mind.puts_out(self._today()) if text is None else mind.answers(text, self._today()):
                    phone.sms(one.typed)
                    self._note(phone, one, "sms", None)
            elif text is None or mind.is_asked(text):
                self._call(mind, phone)

    def _call(self, mind: Mind, phone: Phone) -> None:
        """Dials, and goes on from screen to screen; the first of them is that of the message."""
        page = phone.dial()["text"]
        while said := mind.answers(page, self._today()):
            page = phone.type(said[0].typed)["text"]
            self._note(phone, said[0], "call", page)
        phone.ussd("cancel", "")

    def _note(self, phone: Phone, said: Said, by: str, page: str | None) -> None:
        row = {"at": self._clock.now_s(), "by": by, "typed": said.typed, "means": said.means, "page": page}
        self.told[phone.number].append(row)
        if len(self.told[phone.number]) % AGAIN_EACH == 0:
            phone.say_again()

    def _today(self) -> date:
        return self._clock.now().astimezone(ZoneInfo(ZONE)).date()
