"""What a fault run is made of: its size, its programme, its round and its growers."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from importlib.resources import files
from pathlib import Path
from zoneinfo import ZoneInfo

from advisor.records.grower import Grower
from advisor.service.clock import SystemClock, unix_ms
from advisor.service.figures import figure_changes
from advisor.service.identity import Ids
from advisor.service.stored import Stored, to_bytes
from advisor.store.api import Change, Committed, Store
from simulator.mishaps import Rates
from tests.service.stage import BANDS
from tests.whole.services import SECRET

STEP = "now"
#: Of each round the text of its one step. The second is for every fifth grower, and starts while the first leaves.
TEXTS = {
    "rows": "Walk your rows today: count the plants of one metre in five places.",
    "seed": "Keep 100 seeds of your harvest apart today, dry and in the shade.",
}
FIRST, SECOND = TEXTS
SECOND_FOR_EACH = 5
#: The fact of those who are left out of it.
HAS_FIRST_ONLY = "lot.origin"
ZONE = "Etc/GMT-3"
VILLAGES = ("v1", "v2", "v3")
#: All that networks do, often.
WORST = Rates(
    dropped=0.03,
    late=0.005,
    unsaid=0.05,
    too_many=0.004,
    fault=0.02,
    away=0.01,
    receipts_doubled=0.2,
    receipts_shuffled=0.3,
)


@dataclass(frozen=True)
class Size:
    """How large a run is.

    Args:
        growers: who agreed before the first round.
        kills: SIGKILLs of senders, web workers and Redis, as many of each.
        kill_every_s: seconds between two, half to one and a half of it.
        stops: growers who say stop while the round goes out.
        newcomers: people who call for the first time meanwhile.
        per_second: messages a second.
        senders: processes of ``advisor send``.
        quiet_after_s: seconds for which senders are at work before quiet hours begin; below 0 they have begun.
        quiet_for_s: how long they last.
        limit_s: seconds after which the run is given up.
        seed: another seed, other mishaps, kills and stops.
        plant: a fault that is planted in all processes.
        second_after: when the second round is started, as a part of the time that the first takes; None for never.
    """

    growers: int
    kills: int = 0
    kill_every_s: float = 1.0
    stops: int = 0
    newcomers: int = 0
    per_second: int = 100
    senders: int = 2
    quiet_after_s: float = 8.0
    quiet_for_s: float = 8.0
    limit_s: float = 110.0
    seed: int = 1
    rates: Rates = WORST
    plant: str = ""
    second_after: float | None = None

    @property
    def rounds(self) -> tuple[str, ...]:
        return (FIRST,) if self.second_after is None else (FIRST, SECOND)

    def with_parts_of(self, whole: Size) -> Size:
        """The same with as large a part of growers who stop as a run of another size."""
        return replace(self, stops=whole.stops * self.growers // whole.growers)

    @property
    def looked_at(self) -> tuple[str, ...]:
        """The rounds of which it is asked how they stand: where a bug is planted, the judge alone is tried."""
        return () if self.plant else self.rounds

    @property
    def takes_s(self) -> float:
        """Seconds that the messages of the first round take at the least."""
        return self.growers / self.per_second

    def rounds_of(self, place: int) -> tuple[str, ...]:
        """The rounds that a grower gets."""
        return self.rounds if place % SECOND_FOR_EACH == 0 else (FIRST,)


def number_of(place: int) -> str:
    """The number of a grower."""
    return f"+99900{place:07}"


def programme_with_night(file: Path, from_s: float, for_s: float) -> tuple[str, str]:
    """Writes the demonstration programme with quiet hours from a moment in Unix seconds; they as local times."""
    start = datetime.fromtimestamp(int(from_s), ZoneInfo(ZONE))
    since, until = (f"{at:%H:%M:%S}" for at in (start, start + timedelta(seconds=for_s)))
    text = files("advisor.programmes").joinpath("ulami.toml").read_text(encoding="utf-8")
    for name, value in (
        ("quiet_from", since),
        ("quiet_to", until),
        ("holidays", "[]"),
        ("time_zone", f'"{ZONE}"'),
    ):
        text, count = re.subn(rf"(?m)^{name} = .*$", f"{name} = {value}", text)
        if count != 1:
            raise ValueError(f"the programme has {count} lines {name}")
    file.write_text(text, encoding="utf-8")
    return since, until


def write_rounds(folder: Path) -> None:
    """Each round with one step, of the same text in each language, by which the judge knows it."""
    for key, text in TEXTS.items():
        lines = [f'key = "{key}"', "[[steps]]", f'key = "{STEP}"', "after_minutes = 0", "good_for_hours = 10"]
        lines += [f'unless = ["{HAS_FIRST_ONLY}"]'] if key == SECOND else []
        lines += ["[steps.text]", *(f'{language} = "{text}"' for language in ("en", "sw", "hi", "fr"))]
        (folder / f"{key}.toml").write_text("\n".join(lines), encoding="utf-8")


def write_growers(file: Path, size: Size) -> None:
    """Who is to get what, for the judge."""
    rounds = [size.rounds_of(place) for place in range(size.growers)]
    steps = [{f"{key} {STEP}": TEXTS[key] for key in keys} for keys in rounds]
    write_rows(file, ({"number": number_of(place), "steps": each} for place, each in enumerate(steps)))


def settle(store: Store, numbers: Iterable[str], each: int = 250) -> None:
    """Puts growers into the store as if they had agreed and answered a question or two, some hundreds a trip."""
    now, ids = SystemClock().now(), Ids(SECRET.encode())
    changes = []
    for place, number in enumerate(numbers):
        record = Grower(number, agreed=now).knows("grower.village", VILLAGES[place % 3], now)
        if place % SECOND_FOR_EACH:
            record = record.knows(HAS_FIRST_ONLY, "bought", now)
        counts = figure_changes(Grower(), record, BANDS)
        changes.append(Change(ids.number(number), 0, to_bytes(Stored(record)), unix_ms(now), counts=counts))
    for start in range(0, len(changes), each):
        for verdict in store.commit_all(changes[start : start + each]):
            if not isinstance(verdict, Committed):
                raise RuntimeError(f"a grower was not put in: {verdict}")


def write_rows(file: Path, rows: Iterable[dict[str, object]]) -> None:
    """A file of JSON lines."""
    file.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")


def wait_until(holds, patience_s: float, every_s: float = 0.1) -> bool:
    """Whether something comes true in time."""
    until_s = time.monotonic() + patience_s
    while not (found := holds()) and time.monotonic() < until_s:
        time.sleep(every_s)
    return bool(found)
