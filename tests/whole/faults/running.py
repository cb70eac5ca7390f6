"""A fault run: a round goes out while everything but the gateway is killed, and then is judged.

Real Redis with its append-only file, web workers, senders that plan and hand over, and the stand-in gateway as a
process of its own. Stops come in as signed SMS meanwhile; so do newcomers.
"""

from __future__ import annotations

import base64
import contextlib
import os
import random
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass, field
from pathlib import Path

from advisor.app import bands_of
from advisor.loading import load_book
from advisor.service.figures import village_figures
from advisor.service.stored import from_bytes
from advisor.store.api import BUCKETS, StoreUnavailable
from advisor.store.recount import Difference, recount
from advisor.store.redis_store import RedisStore
from simulator.signing import Keys, keys_in
from tests.servers import RedisServer, redis_server
from tests.whole.faults import judge
from tests.whole.faults.stage import (
    ROUND,
    STEP,
    TEXT,
    VILLAGES,
    ZONE,
    Size,
    number_of,
    programme_with_night,
    settle,
    wait_until,
    write_round,
    write_rows,
)
from tests.whole.services import SECRET, Phone, Service, agree, free_port, serving

KINDS = ("sender", "worker", "redis")


@dataclass
class Run:
    """What became of a run.

    Args:
        judgement: the judge's.
        kills: of each kind; ``met`` are those between the first and the last request.
        told: what ``advisor round status`` says of the round.
        differences: village figures that are not what the growers add up to.
        ended: senders that ended by themselves, with the end of what they logged.
        left: whether something still waited when the time was up.
        handed_to: growers for whom the gateway was handed the step, without a stop and with one.
        stopped: growers who stopped.
        fates: what the gateway did.
        before_night: requests before quiet hours began.
        seconds: how long all of it took.
    """

    size: Size
    judgement: judge.Judgement
    kills: Counter[str]
    met: int
    told: dict[str, int]
    differences: tuple[Difference, ...]
    ended: list[str]
    left: bool
    handed_to: tuple[int, int]
    stopped: int
    fates: Counter[str]
    before_night: int
    seconds: float

    @property
    def status_agrees(self) -> bool:
        """Messages made are those that were handed over, and some of growers who stopped before theirs was."""
        kept_back = self.told["made"] - sum(self.handed_to)
        is_done = self.told["waiting"] == self.told["late"] == self.told["merged"] == 0
        return is_done and 0 <= kept_back <= self.stopped - self.handed_to[1]

    @property
    def lines(self) -> tuple[str, ...]:
        kills = ", ".join(f"{kind} {count}" for kind, count in sorted(self.kills.items()))
        fates = ", ".join(f"{fate} {count}" for fate, count in sorted(self.fates.items()))
        told = ", ".join(f"{name} {count}" for name, count in self.told.items())
        return (
            f"{self.size.growers} growers, {self.stopped} stops, {self.seconds:.0f} s, seed {self.size.seed}",
            f"kills: {kills or 'none'}; {self.met} of them between the first and the last request",
            f"the gateway: {fates}; {self.before_night} before quiet hours began",
            *self.judgement.lines,
            f"round status: {told}: {'agrees' if self.status_agrees else 'DIFFERS'}",
            f"recount: {len(self.differences)} differences",
            *(f"ended by itself: {line}" for line in self.ended),
            *(["something still waited when the time was up"] if self.left else []),
        )

    @property
    def holds(self) -> bool:
        return (
            self.judgement.holds
            and self.status_agrees
            and not self.differences
            and not self.ended
            and not self.left
        )


@dataclass
class Processes:
    """Senders that come back when they are killed, and what kills them."""

    command: tuple[str, ...]
    environment: dict[str, str]
    log: Path
    running: list[subprocess.Popen[bytes]] = field(default_factory=list)
    ended: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def start(self, many: int) -> None:
        for place in range(many):
            self.running.append(self._started(place))

    def kill(self, place: int) -> None:
        with self.lock:
            process = self.running[place]
            if process.poll() is not None:
                self.ended.append(
                    f"sender {place} with {process.returncode}: {self._log(place).read_text()[-400:]}"
                )
            process.kill()
            process.wait()
            self.running[place] = self._started(place)

    def stop(self) -> None:
        for place, process in enumerate(self.running):
            if process.poll() is not None:
                self.ended.append(
                    f"sender {place} with {process.returncode}: {self._log(place).read_text()[-400:]}"
                )
            process.terminate()
        for process in self.running:
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(10)
            process.kill()
            process.wait()

    def _log(self, place: int) -> Path:
        return self.log / f"sender-{place}.log"

    def _started(self, place: int) -> subprocess.Popen[bytes]:
        with self._log(place).open("ab") as out:
            return subprocess.Popen(self.command, env=os.environ | self.environment, stdout=out, stderr=out)


class Killer(threading.Thread):
    """Kills at random, by a seed; each kind as often."""

    def __init__(self, size: Size, redis: RedisServer, found: Service, senders: Processes) -> None:
        super().__init__(daemon=True)
        self.redis, self.found, self.senders = redis, found, senders
        self.chance, self.every_s = random.Random(size.seed), size.kill_every_s
        self.todo = [KINDS[place % len(KINDS)] for place in range(size.kills)]
        self.chance.shuffle(self.todo)
        self.done: list[tuple[float, str]] = []
        self.ending = threading.Event()

    def run(self) -> None:
        for kind in self.todo:
            if self.ending.wait(self.every_s * (0.5 + self.chance.random())):
                return
            getattr(self, f"_kill_{kind}")()
            self.done.append((time.time(), kind))

    def _kill_redis(self) -> None:
        self.redis.restart()

    def _kill_sender(self) -> None:
        self.senders.kill(self.chance.randrange(len(self.senders.running)))

    def _kill_worker(self) -> None:
        while not self.ending.wait(0.05):
            with contextlib.suppress(ProcessLookupError, IndexError):
                os.kill(self.chance.choice(self.found.workers()), signal.SIGKILL)
                return


def run(size: Size) -> Run:
    """Runs it; the files are kept nowhere."""
    begun_s = time.monotonic()
    bands = bands_of(load_book())
    with tempfile.TemporaryDirectory() as name, contextlib.ExitStack() as stack:
        folder = Path(name)
        redis = stack.enter_context(redis_server())
        store = RedisStore(redis.address, timeout_s=9)
        store.open()
        stack.callback(store.close)
        numbers = [number_of(place) for place in range(size.growers)]
        settle(store, numbers)
        write_rows(
            folder / "growers.jsonl", ({"number": one, "steps": {f"{ROUND} {STEP}": TEXT}} for one in numbers)
        )
        write_round(folder / "round.toml")
        port = free_port()
        environment = _environment(size, redis.address)
        keys = keys_in(environment)
        module = ("advisor",) if not size.plant else ("tests.whole.faults.planted", size.plant)
        started_s = time.monotonic()
        found = stack.enter_context(serving(*module, "serve", "--workers", "2", **environment))
        takes_s = time.monotonic() - started_s
        stack.enter_context(_gateway(size, port, folder, found.address, environment))
        _advisor(environment, "round", "start", str(folder / "round.toml"))
        # quiet hours begin when the senders, who all start at once, are at work for a while
        after_s = size.quiet_after_s + (takes_s * (1 + size.senders) / 2 if size.quiet_after_s > 0 else 0)
        night_s = time.time() + after_s
        night = programme_with_night(folder / "programme.toml", after_s, size.quiet_for_s)
        sending = {
            "SOWING_GATEWAY": f"http://127.0.0.1:{port}/sms",
            "SOWING_PROGRAMME": str(folder / "programme.toml"),
        }
        senders = Processes((sys.executable, "-m", *module, "send"), environment | sending, folder)
        senders.start(size.senders)
        stack.callback(_end_all, senders)
        killer = Killer(size, redis, found, senders)
        stack.callback(killer.ending.set)
        until_s = begun_s + size.limit_s
        wait_until(lambda: (folder / "sent.jsonl").read_text(), 60)
        killer.start()
        stops = _talk(size, numbers, found, keys, until_s)
        write_rows(folder / "stops.jsonl", ({"number": one, "at": at_s} for one, at_s in stops.items()))
        killer.join(max(1.0, until_s - time.monotonic()))
        killer.ending.set()
        killer.join()
        left = not wait_until(lambda: _is_over(store), max(1.0, until_s - time.monotonic()), 0.5)
        told = _status(_advisor(environment, "round", "status", ROUND))

        def figures_of(value: bytes):
            village, counters = village_figures(from_bytes(value).record, bands)
            return [(village, counter, 1) for counter in counters]

        differences = recount(store, figures_of, VILLAGES)
        senders.stop()
        handed = list(judge.rows(folder / "sent.jsonl"))
        judged = _judged(folder, *night)
        to = {one["to"] for one in handed if one["text"] == TEXT}
        moments = [one["at"] for one in handed] or [0.0]
        return Run(
            size,
            judged,
            Counter(kind for _, kind in killer.done),
            sum(moments[0] <= at_s <= moments[-1] for at_s, _ in killer.done),
            told,
            differences,
            senders.ended,
            left,
            (len(to - set(stops)), len(to & set(stops))),
            len(stops),
            Counter(one["fate"] for one in handed),
            sum(one["at"] < night_s for one in handed),
            time.monotonic() - begun_s,
        )


def _environment(size: Size, store: str) -> dict[str, str]:
    chance = random.Random(size.seed)
    inbound, outbound = (f"whsec_{base64.b64encode(chance.randbytes(32)).decode()}" for _ in range(2))
    return {
        "SOWING_STORE": store,
        "SOWING_ID_SECRET": SECRET,
        "SOWING_SENDER": "2500",
        "SOWING_INBOUND_KEYS": inbound,
        "SOWING_OUTBOUND_KEYS": outbound,
        "SOWING_ADDRESS_RATE": "1000000",
        "SOWING_GROWER_RATE": "1000000",
        "SOWING_PER_SECOND": str(size.per_second),
    }


@contextlib.contextmanager
def _gateway(size: Size, port: int, folder: Path, service: str, environment: dict[str, str]):
    ledger = folder / "sent.jsonl"
    ledger.touch()
    command = [sys.executable, "-m", "simulator", "gateway", "--listen", str(port), "--service", service]
    command += ["--ledger", str(ledger), "--seed", str(size.seed)]
    for rate, value in asdict(size.rates).items():
        command += [f"--{rate.replace('_', '-')}", str(value)]
    with (folder / "gateway.log").open("wb") as out:
        process = subprocess.Popen(command, env=os.environ | environment, stdout=subprocess.PIPE, stderr=out)
    try:
        assert process.stdout is not None
        if not process.stdout.readline():
            raise RuntimeError((folder / "gateway.log").read_text())
        yield
        if process.poll() is not None:
            raise RuntimeError((folder / "gateway.log").read_text())
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def _talk(size: Size, numbers: list[str], found: Service, keys: Keys, until_s: float) -> dict[str, float]:
    """Has growers say stop and newcomers call, spread over the time that the round takes.

    Returns:
        When each stop was answered, in Unix seconds.
    """
    chance = random.Random(size.seed + 1)
    whole_s = size.growers / size.per_second
    coming = [number_of(5_000_000 + place) for place in range(size.newcomers)]
    stopping = chance.sample(numbers, size.stops)
    planned = sorted((chance.uniform(0, whole_s), number) for number in (*coming, *stopping))
    stops: dict[str, float] = {}
    begun_s = time.monotonic()

    def talk(at_s: float, number: str) -> None:
        time.sleep(max(0.0, begun_s + at_s - time.monotonic()))
        if time.monotonic() > until_s:
            return
        with contextlib.closing(Phone(number, (found.address,), keys)) as phone:
            if number in known:
                phone.sms("STOP")
                stops[number] = time.time()
            else:
                agree(phone)

    known = set(numbers)
    with ThreadPoolExecutor(8) as pool:
        for one in [pool.submit(talk, at_s, number) for at_s, number in planned]:
            one.result()
    return stops


def _is_over(store: RedisStore) -> bool:
    far_ms = int(time.time() * 1000) + 24 * 3_600_000
    try:
        standing = store.standing(ROUND)
        return standing.planned == BUCKETS and not standing.waiting and not store.busy(far_ms).outbox
    except StoreUnavailable:
        return False


def _advisor(environment: dict[str, str], *arguments: str) -> str:
    command = [sys.executable, "-m", "advisor", *arguments]
    done = subprocess.run(
        command, env=os.environ | environment, check=False, timeout=120, capture_output=True, text=True
    )
    if done.returncode:
        raise RuntimeError(done.stderr)
    return done.stdout


def _status(line: str) -> dict[str, int]:
    """The counts of a line of ``advisor round status``."""
    return {name: int(count) for name, count in re.findall(r"(planned|waiting|made|late|merged) (\d+)", line)}


def _judged(folder: Path, since: str, until: str) -> judge.Judgement:
    """What the judge finds, run as the script that it is."""
    files = [str(folder / f"{name}.jsonl") for name in ("sent", "growers", "stops")]
    # isolated: it finds neither the service nor anything else of ours
    command = [sys.executable, "-I", judge.__file__, *files, ZONE, since, until]
    said = subprocess.run(command, check=False, timeout=120, capture_output=True, text=True)
    counts = {name: int(count) for name, count in re.findall(r"(?m)^([a-z ]+?) +(\d+)$", said.stdout)}
    found = judge.Judgement(**{name.replace(" ", "_"): count for name, count in counts.items()})
    if said.returncode != (not found.holds):
        raise RuntimeError(f"the judge ended with {said.returncode}: {said.stdout}{said.stderr}")
    return found


def _end_all(senders: Processes) -> None:
    for process in senders.running:
        process.kill()
        process.wait()
