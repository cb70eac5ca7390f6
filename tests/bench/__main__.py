"""``python -m tests.bench``: all measures, printed as they come and kept in ``RESULTS.md``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from advisor.loading import load_book
from tests.bench import needs, rounds, seasons, tables
from tests.bench.doors import at_the_door
from tests.bench.memory import GROWERS, taken_by_growers
from tests.bench.played import GROWERS as PLAYERS
from tests.bench.played import played
from tests.bench.sending import sending
from tests.bench.starts import ready_s
from tests.bench.steps import command_s, proved_s, stepped
from tests.bench.stores import ratios
from tests.bench.webhook import CLIENTS_A_WORKER, ROUNDS, WORKERS, compare, compare_signed

RESULTS = Path(__file__).parent / "RESULTS.md"

_HEAD = """# What the service costs

Written by `make bench` on {machine}. What is compared with what, and what is equal, stands in `__init__.py`.
"""


def measured() -> Iterator[str]:
    """Each measure's text, once it is there."""
    yield _HEAD.format(machine=tables.machine())
    found = compare()
    of_rounds = (
        f"{ROUNDS} rounds, {WORKERS} workers, {CLIENTS_A_WORKER} clients a worker; ratios are the rounds' median."
    )
    yield f"## The webhook and a bare application\n\n{of_rounds}\n"
    for setting in found:
        yield tables.webhook_table(setting) + "\n"
    yield tables.redis_table(found[0]) + "\n"
    yield "## Signatures\n\nThe service with signatures and without, both with limits by address and number.\n"
    for setting in compare_signed():
        yield tables.webhook_table(setting, ("signed", "open")) + "\n"
    yield tables.table(("of a request", "µs"), [(what, f"{us:.1f}") for what, us in at_the_door()]) + "\n"
    yield "## Sending\n"
    head = ("10,000 messages, `everysec`", "a second", "ratio", "own µs", "Redis µs", "ratio of both")
    yield tables.table(head, sending()) + "\n"
    yield "## Parts\n"
    yield tables.step_table(*stepped(load_book())) + "\n"
    once = (
        ("all flows read, checked and proven in all languages, in a fresh process", proved_s()),
        ("`advisor serve` from a cold start until /health says 200", ready_s()),
        ("`advisor --help`", command_s("--help")),
        (
            f"needs of {needs.GROWERS:,} growers by village and week, fields in steps of 0.05 acre",
            needs.table_s()[0],
        ),
        ("the same, no two fields alike", needs.table_s(step_acres=1e-7)[0]),
    )
    yield tables.times_table(once) + "\n"
    plans = (
        ("median of all", f"{seasons.plan_us(purse=False):.0f}"),
        ("median, each with a purse that may be short", f"{seasons.plan_us(purse=True):.0f}"),
        ("the first of a process, with a purse", f"{seasons.first_plan_s() * 1e6:.0f}"),
    )
    yield tables.table(("a whole season's plan, no two fields alike", "µs"), plans) + "\n"
    season = played(load_book())
    whole = (
        ("messages in", f"{season.messages:,}"),
        ("a second of processor time", f"{season.messages / season.season_s:,.0f}"),
        ("bare steps of the same messages, a second", f"{season.messages / season.steps_s:,.0f}"),
        ("ratio", f"{season.ratio:.2f}"),
    )
    yield tables.table((f"a season of {PLAYERS} growers, all rounds, checks and all", ""), whole) + "\n"
    yield "## Rounds of messages\n"
    yield rounds.rounds_table(rounds.measured()) + "\n"
    yield f"Memory, {GROWERS:,} growers after three calls, without reminders.\n"
    yield tables.memory_table(*taken_by_growers()) + "\n"
    rows = [(name, f"{seconds * 1e6:.0f}", f"{times:.1f}") for name, seconds, times in ratios()]
    yield tables.table(("store alone", "µs", "x a bare SET"), rows)


def main() -> None:
    texts = []
    for text in measured():
        print(text, flush=True)
        texts.append(text)
    RESULTS.write_text("\n".join(texts) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
