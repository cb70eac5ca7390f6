"""The webhook against the bare application, turn by turn."""

from __future__ import annotations

import itertools
import statistics
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass

from tests.bench.load import Clients, Done, Job
from tests.bench.shapes import shapes
from tests.bench.sides import KEY, Side, both_sides, signed_and_open
from tests.bench.sums import percentile, ratio_of_rounds, spread

WORKERS = 2
CLIENTS_A_WORKER = 2
ROUNDS = 5
WARM = 150
_FEWEST_GROWERS_A_TURN = 1000


@dataclass(frozen=True, slots=True)
class Setting:
    """One way to run both sides.

    Args:
        appendfsync: how the append-only file reaches the disk.
        count: requests a client in one turn.
        pinned: whether each worker is kept on a core of its own.
    """

    appendfsync: str
    count: int
    pinned: bool = False

    def __str__(self) -> str:
        return f"appendfsync {self.appendfsync}" + (", workers kept on a core each" if self.pinned else "")


SETTINGS = (Setting("everysec", 1200, pinned=True), Setting("everysec", 1200), Setting("always", 400))


@dataclass(frozen=True, slots=True)
class Turn:
    """One side asked once.

    Args:
        a_second: requests a second while all clients were asking.
        took_s: how long each request took that counts.
        workers_us: processor time of the workers a request, microseconds; the same of Redis and of the clients.
        redis_us: see above.
        clients_us: see above.
        figures: what Redis did a request.
    """

    a_second: float
    took_s: tuple[float, ...]
    workers_us: float
    redis_us: float
    clients_us: float
    figures: dict[str, float]


@dataclass(frozen=True, slots=True)
class Compared:
    """All turns under one setting, the service's and the bare application's.

    Where two services are compared, ours is that with signatures, and bare that without.
    """

    setting: Setting
    ours: tuple[Turn, ...]
    bare: tuple[Turn, ...]

    def ratio(self, figure: str) -> float:
        """Median of the rounds' ratios."""
        return ratio_of_rounds(*self._of(figure))

    def spread(self, figure: str) -> tuple[float, float]:
        """Lowest and highest ratio of a round."""
        return spread(*self._of(figure))

    def _of(self, figure: str) -> tuple[list[float], list[float]]:
        return [value_of(turn, figure) for turn in self.ours], [value_of(turn, figure) for turn in self.bare]


def value_of(turn: Turn, figure: str) -> float:
    """A figure of a turn: ``a second``, ``p50 ms``, ``p99 ms``, ``workers µs``, ``redis µs``, ``clients µs``."""
    match figure.split():
        case ["a", "second"]:
            return turn.a_second
        case [name, "ms"]:
            return percentile(turn.took_s, float(name[1:])) * 1000
        case ["workers", "µs"]:
            return turn.workers_us
        case ["redis", "µs"]:
            return turn.redis_us
    return turn.clients_us


def median_of(turns: Sequence[Turn], figure: str) -> float:
    """The median of a figure over the turns."""
    return statistics.median(value_of(turn, figure) for turn in turns)


def figures_of(turns: Sequence[Turn]) -> dict[str, float]:
    """What Redis did a request, mean over the turns."""
    total: Counter[str] = Counter()
    for turn in turns:
        total.update(turn.figures)
    return {name: value / len(turns) for name, value in total.items()}


def compare(rounds: int = ROUNDS, settings: Sequence[Setting] = SETTINGS, warm: int = WARM) -> list[Compared]:
    """The service and the bare application in turns, under each setting.

    Args:
        rounds: how often each side is asked under each setting.
        settings: how both sides are run.
        warm: requests of each client before it counts.
    """
    told, _texts = shapes()
    return _in_turns(lambda pinned: both_sides(told, WORKERS, pinned=pinned), rounds, settings, warm)


def compare_signed(
    rounds: int = ROUNDS, settings: Sequence[Setting] = SETTINGS[:1], warm: int = WARM
) -> list[Compared]:
    """The service with signatures and without in turns, under each setting; arguments as for `compare`."""
    return _in_turns(lambda pinned: signed_and_open(WORKERS, pinned=pinned), rounds, settings, warm)


def _in_turns(
    opened: Callable[[bool], AbstractContextManager[tuple[Side, Side]]],
    rounds: int,
    settings: Sequence[Setting],
    warm: int,
) -> list[Compared]:
    found = []
    growers = itertools.count(1, _FEWEST_GROWERS_A_TURN)
    clients = Clients(WORKERS * CLIENTS_A_WORKER)
    try:
        for setting in settings:
            turns: tuple[list[Turn], list[Turn]] = ([], [])
            for number in range(rounds):
                first = next(growers)
                # Started anew for each round: some processes are lucky for life, by a fifth and more.
                with opened(setting.pinned) as sides:
                    for place in (0, 1) if number % 2 == 0 else (1, 0):
                        turns[place].append(_turn(sides[place], clients, setting, first, warm))
            found.append(Compared(setting, tuple(turns[0]), tuple(turns[1])))
    finally:
        clients.close()
    return found


def _turn(side: Side, clients: Clients, setting: Setting, first: int, warm: int) -> Turn:
    count = setting.count
    side.resume()
    try:
        side.appendfsync(setting.appendfsync)
        workers = itertools.cycle(side.workers)
        key = KEY if side.name == "signed" else ""
        clients.connect(
            [
                Job(number, side.server.port, next(workers), first, warm, count, key)
                for number in range(len(clients))
            ]
        )
        before, cpu_s = side.redis_figures(), side.cpu_s()
        done = clients.go()
        cpu_s, after = side.cpu_s() - cpu_s, side.redis_figures()
    finally:
        side.stop()
    return turn_of(
        done, (warm + count) * len(clients), cpu_s, {name: after[name] - before.get(name, 0) for name in after}
    )


def turn_of(done: Sequence[Done], asked: int, workers_s: float, figures: dict[str, float]) -> Turn:
    """What a turn comes to.

    Only what was answered while all clients were asking counts: from when the last of them was warm to when the
    first of them was done.

    Args:
        done: what each client did.
        asked: requests in all, the warm-up included.
        workers_s: processor time of the workers in all.
        figures: what Redis did in all.
    """
    began_s, ended_s = max(client.began_s for client in done), min(client.ends_s[-1] for client in done)
    took = [
        took_s
        for client in done
        for end_s, took_s in zip(client.ends_s, client.took_s, strict=True)
        if began_s < end_s <= ended_s
    ]
    return Turn(
        a_second=len(took) / (ended_s - began_s),
        took_s=tuple(took),
        workers_us=workers_s / asked * 1e6,
        redis_us=figures.pop("cpu_s") / asked * 1e6,
        clients_us=sum(client.cpu_s for client in done) / asked * 1e6,
        figures={name: value / asked for name, value in figures.items() if value},
    )
