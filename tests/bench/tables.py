"""The bench's tables, as they are printed and kept."""

from __future__ import annotations

import os
import platform
import shutil
import subprocess
from collections.abc import Iterable, Sequence
from datetime import date

from tests.bench.memory import Taken
from tests.bench.steps import Stepped
from tests.bench.webhook import Compared, figures_of, median_of

_TURN_FIGURES = {
    "a second": "requests a second",
    "p50 ms": "latency, median, ms",
    "p99 ms": "latency, 99th percentile, ms",
    "workers µs": "processor time of the workers, µs a request",
    "redis µs": "processor time of Redis, µs a request",
    "clients µs": "processor time of the clients, µs a request",
}


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A Markdown table, its columns as wide as their texts; all but the first stand right.

    >>> print(table(("what", "µs"), [("step", "77")]))
    | what | µs |
    | ---- | -: |
    | step | 77 |
    """
    all_rows = [tuple(head), *map(tuple, rows)]
    wide = [max(map(len, column)) for column in zip(*all_rows, strict=True)]
    lines = [
        "| " + " | ".join([row[0].ljust(wide[0]), *map(str.rjust, row[1:], wide[1:])]) + " |" for row in all_rows
    ]
    ruled = "| " + " | ".join(["-" * wide[0], *("-" * (width - 1) + ":" for width in wide[1:])]) + " |"
    return "\n".join([lines[0], ruled, *lines[1:]])


def webhook_table(found: Compared, names: tuple[str, str] = ("service", "bare")) -> str:
    """The turns under one setting, of two sides with these names."""
    rows = []
    for figure, what in _TURN_FIGURES.items():
        low, high = found.spread(figure)
        digits = 0 if figure == "a second" or figure.endswith("µs") else 2
        ours, bare = (f"{median_of(turns, figure):,.{digits}f}" for turns in (found.ours, found.bare))
        rows.append((what, ours, bare, f"{found.ratio(figure):.2f}", f"{low:.2f} to {high:.2f}"))
    return table((str(found.setting), *names, "ratio", "of the rounds"), rows)


def redis_table(found: Compared) -> str:
    """What Redis did a request, on either side."""
    ours, bare = figures_of(found.ours), figures_of(found.bare)
    rows = [
        (name, _short(ours.get(name, 0.0)), _short(bare.get(name, 0.0)))
        for name in sorted(ours.keys() | bare.keys(), key=lambda name: (name.startswith("bytes"), name))
        if max(ours.get(name, 0.0), bare.get(name, 0.0)) >= 0.01
    ]
    return table(("Redis, a request", "service", "bare"), rows)


def step_table(found: Iterable[Stepped], overall_us: float) -> str:
    """The step alone."""
    rows = [(f"to {row.to}", f"{row.median_us:.0f}", f"{row.p99_us:.0f}", f"{row.ratio:.1f}") for row in found]
    rows.append(("all", f"{overall_us:.0f}", "", ""))
    return table(("step alone", "median µs", "p99 µs", "x JSON trip"), rows)


def times_table(rows: Iterable[tuple[str, float]]) -> str:
    """Seconds."""
    return table(("once", "s"), [(what, f"{seconds:.2f}") for what, seconds in rows])


def memory_table(ended: Sequence[Taken], talking: Sequence[Taken]) -> str:
    """Bytes of Redis a grower."""
    late = {taken.what: taken for taken in talking}
    rows = [
        (taken.what, f"{taken.keys:.2f}", f"{taken.bytes:.0f}", f"{late[taken.what].bytes:.0f}") for taken in ended
    ]
    return table(("bytes of Redis a grower", "keys", "session ended", "in a call"), rows)


def machine() -> str:
    """This machine in general words, and the day."""
    memory_gib = round(os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30)
    said = subprocess.run(
        [shutil.which("redis-server") or "redis-server", "--version"], check=True, capture_output=True, text=True
    ).stdout
    redis = next(word[2:] for word in said.split() if word.startswith("v="))
    words = (
        f"{os.cpu_count()} cores, {memory_gib} GiB, {platform.system()}",
        f"Redis {redis.rpartition('.')[0]}, Python {platform.python_version().rpartition('.')[0]}",
        date.today().isoformat(),  # noqa: DTZ011 - the day as the reader's calendar has it
    )
    return ", ".join(words)


def _short(value: float) -> str:
    return f"{value:,.0f}" if value >= 100 else f"{value:.2f}"
