"""The pure step alone, and the making of the book with all its proofs."""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from dataclasses import dataclass

from advisor.dialogue.book import Book
from advisor.dialogue.session import session_from_json, session_to_json
from advisor.dialogue.step import step
from advisor.dialogue.talk import Event, EventKind
from tests.bench.sums import percentile, times_us
from tests.dialogue.talker import Talker

TURNS = 2000
_ANSWERS = ("1", "1", "2", "1", "2.5", "1", "1")
_LIST = "buy_list.list_bought"
_IN_ONE_LINE = ("soya 2 acres", "saya 2 acers")


@dataclass(frozen=True, slots=True)
class Stepped:
    """One answer of a first call, or one SMS in one line, many times.

    Args:
        to: the screen that it leads to, or what an SMS says.
        median_us: median, microseconds.
        p99_us: 99th percentile, microseconds.
        ratio: its median by the median of one trip of the same session through JSON.
    """

    to: str
    median_us: float
    p99_us: float
    ratio: float


def stepped(book: Book, turns: int = TURNS) -> tuple[list[Stepped], float]:
    """Each answer of a first call up to the list and its second page, an SMS in one line, the median of all."""
    talker = Talker(book)
    talker.dial()
    found, everything = [], []
    for typed in _ANSWERS:
        event = Event(EventKind.ANSWER, typed, f"ussd:call-{talker.calls}", "bench")
        before = (talker.session, talker.grower)
        spent = times_us(lambda event=event, before=before: step(book, *before, event, talker.now), turns)
        session = talker.session
        trip = times_us(
            lambda session=session: session_from_json(json.loads(json.dumps(session_to_json(session)))), turns
        )
        talker.type(typed)
        everything += spent
        median_us = statistics.median(spent)
        ratio = median_us / statistics.median(trip)
        found.append(Stepped(talker.spot, median_us, percentile(spent, 99), ratio))
        if talker.spot == _LIST:
            # each turn a field of its own, since of one that was asked for before the list is remembered
            growers = iter([before[1].knows("plot.area", 4000.0 + turn, talker.now) for turn in range(turns)])
            spent = times_us(
                lambda event=event, session=before[0], growers=growers: step(
                    book, session, next(growers), event, talker.now
                ),
                turns,
            )
            new_us = statistics.median(spent)
            found.append(Stepped(f"{_LIST}, new field", new_us, percentile(spent, 99), ratio * new_us / median_us))
    for typed in _IN_ONE_LINE:
        event = Event(EventKind.SMS, typed, "sms", "bench")
        spent = times_us(lambda event=event: step(book, None, talker.grower, event, talker.now), turns)
        everything += spent
        median_us = statistics.median(spent)
        found.append(
            Stepped(f"sms {typed}", median_us, percentile(spent, 99), median_us / statistics.median(trip))
        )
    return found, statistics.median(everything)


def proved_s(turns: int = 3) -> float:
    """Seconds in which a fresh process reads, checks and proves all flows in all languages; a median."""
    program = (
        "import time; from advisor.loading import load_book; begun = time.perf_counter(); load_book();"
        "print(time.perf_counter() - begun)"
    )
    command = [sys.executable, "-c", program]
    return statistics.median(
        float(subprocess.run(command, check=True, capture_output=True, timeout=60).stdout) for _ in range(turns)
    )


def command_s(*arguments: str, turns: int = 3) -> float:
    """Seconds that a command of ``advisor`` takes from start to end; a median."""
    taken = []
    for _ in range(turns):
        begun = time.perf_counter()
        subprocess.run([sys.executable, "-m", "advisor", *arguments], check=True, capture_output=True, timeout=60)
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken)
