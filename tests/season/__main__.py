"""``python -m tests.season``: plays a season and says what happened."""

from __future__ import annotations

import gc
import os
import sys
import time

import click

from advisor.loading import load_book
from tests.season.course import Course
from tests.season.plan import DAYS, Plan
from tests.season.sent_rounds import all_rounds, one_round


@click.command()
@click.option("--growers", default=1000, show_default=True, help="How many growers.")
@click.option("--seed", default=1, show_default=True, help="Another seed, other growers.")
@click.option("--days", default=DAYS, show_default=True, help="How many days.")
@click.option("--round", "file", help="One round alone, not all of a season.")
def main(growers: int, seed: int, days: int, file: str | None) -> None:
    """Plays a season with GROWERS growers and says what happened; ends with 1 where something did not hold."""
    begun_s, begun_cpu_s = time.monotonic(), time.process_time()
    plan = Plan(growers, seed, days, one_round(file) if file else all_rounds())
    book = load_book()
    # what growers leave behind holds no circles: the collector would look through all of it in vain
    gc.disable()
    with click.progressbar(length=days, label=f"{growers} growers, {days} days", file=sys.stderr) as bar:
        played = Course(book, plan, lambda _day: bar.update(1)).play()
    for name, count in sorted(played.happened.items()):
        click.echo(f"{name:28}{count:9,}")
    click.echo(f"{'lines of the log':28}{played.lines:9,}")
    click.echo(f"log {played.digest}")
    spent_s, cpu_s = time.monotonic() - begun_s, time.process_time() - begun_cpu_s
    click.echo(f"{spent_s:.1f} s by the clock, {cpu_s:.1f} s of processor time", err=True)
    for fault in played.faults:
        click.echo(f"{fault.what} {fault.at}: {fault.about}")
    sys.stdout.flush()
    # all is said; to free ten thousand growers one by one would take seconds
    os._exit(1 if played.faults else 0)


if __name__ == "__main__":
    main()
