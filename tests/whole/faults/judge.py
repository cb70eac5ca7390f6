"""The judge of a fault run: what left, who should have got it, and who should not.

It reads three files of JSON lines and nothing else, and imports nothing of the service:

- what the gateway was handed: ``{"at": Unix seconds, "id", "to", "text", "fate"}``, each line one request;
- growers: ``{"number", "steps": {"round step": text}}``, what each is to get once;
- stops: ``{"number", "at"}``, when the sender of a stop learnt that it was taken.

``python tests/whole/faults/judge.py sent.jsonl growers.jsonl stops.jsonl Etc/GMT-3 20:00:00 06:30:00`` says what
it found and ends with 1 where the promise is broken: nobody left out, nobody told a step under two ids, no round
at night, and nothing begun later than a second after a stop, but for its one confirmation.
"""

from __future__ import annotations

import json
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime, time
from pathlib import Path
from typing import Protocol
from zoneinfo import ZoneInfo

#: What the gateway does when the phone gets the message.
TAKEN = frozenset({"taken", "late", "unsaid"})
#: So long after a stop a request may still begin.
AFTER_STOP_S = 1.0


@dataclass(frozen=True)
class Night:
    """Quiet hours by the wall clock of a zone; none where they begin when they end."""

    zone: ZoneInfo
    since: time
    until: time

    def holds(self, at_s: float) -> bool:
        clock = datetime.fromtimestamp(at_s, self.zone).time()
        if self.since <= self.until:
            return self.since <= clock < self.until
        return clock >= self.since or clock < self.until


@dataclass(frozen=True)
class Judgement:
    """What a run comes to.

    Args:
        requests: all that the gateway was handed.
        sent: different grower, round and step that it took.
        expected: those of growers who never stopped.
        lost: expected and never taken.
        repeated: requests beyond the first under an id, which is allowed.
        doubled: grower, round and step under more than one id.
        at_night: requests of rounds within quiet hours.
        after_stop: requests begun later than a second after a stop, its one confirmation excepted.
    """

    requests: int
    sent: int
    expected: int
    lost: int
    repeated: int
    doubled: int
    at_night: int
    after_stop: int

    @property
    def holds(self) -> bool:
        return not (self.lost or self.doubled or self.at_night or self.after_stop)

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(f"{name.replace('_', ' '):12}{count:8}" for name, count in asdict(self).items())


def judge(
    handed: Iterable[Mapping], growers: Mapping[str, Mapping[str, str]], stops: Mapping[str, float], night: Night
) -> Judgement:
    """Judges a run.

    Args:
        handed: the gateway's lines.
        growers: of each number the text of each step.
        stops: when each number that stopped was answered, in Unix seconds.
        night: quiet hours.
    """
    step_of = {text: step for steps in growers.values() for step, text in steps.items()}
    ids: Counter[str] = Counter()
    ids_of: dict[tuple[str, str], set[str]] = defaultdict(set)
    confirmations: dict[str, set[str]] = defaultdict(set)
    taken: set[tuple[str, str]] = set()
    at_night = after_stop = 0
    for one in handed:
        number, step, at_s = one["to"], step_of.get(one["text"]), one["at"]
        ids[one["id"]] += 1
        is_stopped = number in stops and at_s > stops[number] + AFTER_STOP_S
        if step is None:
            if is_stopped:
                confirmations[number].add(one["id"])
            continue
        ids_of[number, step].add(one["id"])
        at_night += night.holds(at_s)
        after_stop += is_stopped
        if one["fate"] in TAKEN:
            taken.add((number, step))
    expected = {(number, step) for number, steps in growers.items() if number not in stops for step in steps}
    return Judgement(
        requests=ids.total(),
        sent=len(taken),
        expected=len(expected),
        lost=len(expected - taken),
        repeated=ids.total() - len(ids),
        doubled=sum(len(found) > 1 for found in ids_of.values()),
        at_night=at_night,
        after_stop=after_stop + sum(len(found) - 1 for found in confirmations.values()),
    )


def judge_files(handed: Path, growers: Path, stops: Path, night: Night) -> Judgement:
    """Judges what three files say."""
    return judge(
        rows(handed),
        {one["number"]: one["steps"] for one in rows(growers)},
        {one["number"]: one["at"] for one in rows(stops)},
        night,
    )


def rows(file: Path) -> Iterator[dict]:
    """The lines of a file of JSON lines."""
    with file.open(encoding="utf-8") as lines:
        yield from map(json.loads, lines)


class Found(Protocol):
    """What a judge of files comes to."""

    @property
    def lines(self) -> list[str]: ...

    @property
    def holds(self) -> bool: ...


def verdict_on(
    judged: Callable[[Path, Path, Path, Night], Found],
    handed: str,
    growers: str,
    stops: str,
    zone: str,
    since: str,
    until: str,
) -> int:
    """Prints what a judge found in three files; 0 where all holds."""
    night = Night(ZoneInfo(zone), time.fromisoformat(since), time.fromisoformat(until))
    found = judged(Path(handed), Path(growers), Path(stops), night)
    print("\n".join(found.lines))
    return 0 if found.holds else 1


if __name__ == "__main__":
    sys.exit(verdict_on(judge_files, *sys.argv[1:]))
