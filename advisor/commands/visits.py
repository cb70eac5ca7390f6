"""``visits``: who needs a visit, why, and what to bring or do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import click

from advisor.commands.agent_lists import Asked, Cell, asked_for, list_options, show, warn_of_numbers
from advisor.commands.agents import agent_called
from advisor.commands.exits import Exit

if TYPE_CHECKING:
    from datetime import date

    from advisor.campaign.visiting import Reason, Visit

_HEAD = (
    "village",
    "grower",
    "number",
    "days_left",
    "sowing",
    "reason",
    "since",
    "bag",
    "grown",
    "sown",
    "help",
    "kg",
    "by",
    "also",
)


@click.command()
@list_options
@click.option("--agent", "agent", metavar="KEY", help="Only growers in the care of this agent of the programme.")
@click.option("--numbers", is_flag=True, help="With the growers' numbers, which are personal data.")
def visits(village: str | None, form: str | None, agent: str | None, numbers: bool) -> Exit:
    """Lists who needs a visit, one line a grower: the most pressing reason first, then who sows soonest.

    bad seed: a test that failed, of seed that is not sown yet, as far as anybody told, until four weeks after the
    day that was meant; untested: a round gave the seed up before a test began; broken off: a test was begun, and
    no count came or is asked for; no final: the same, with the first look as a lower bound; silent: no word after
    two questions of a round; asked: a question waits, see `advisor questions`. Behind each stands what to bring
    or to do. An agent's phone shows the same list in the same order.

    Growers are named by their ids; with --numbers by their numbers as well. As JSON or CSV each grower is a row,
    with what else there is under `also`; `days_left` is below 0 of who is late to sow, and empty once all is sown.

    \b
    Examples:
      advisor visits
      advisor visits --village Dovi --numbers
      advisor visits --csv > visits.csv
    """
    with asked_for(village) as asked:
        one = None if agent is None else agent_called(asked.book.programme, agent, "--agent")
        found = asked.visiting.visits(asked.village, asked.progress, one)
    head = _HEAD if numbers else tuple(name for name in _HEAD if name != "number")
    rows = [_row(visit, asked, numbers) for visit in found]
    show(form, rows, head, lambda: "\n".join(lines(found, asked, numbers)))
    if numbers and found:
        warn_of_numbers()
    return Exit.DONE


def _row(visit: Visit, asked: Asked, numbers: bool) -> dict[str, Cell]:
    first, *others = visit.reasons
    grown, sown = first.test or (None, None)
    return {
        "village": asked.named(visit.village),
        "grower": visit.grower,
        **({"number": visit.number} if numbers else {}),
        "days_left": visit.days_left,
        "sowing": _day(visit.sowing),
        "reason": first.why.value,
        "since": first.since.isoformat(),
        "bag": first.bag,
        "grown": grown,
        "sown": sown,
        "help": first.help.value,
        "kg": None if first.kg is None else _kg(first.kg),
        "by": _day(first.by),
        "also": "; ".join(map(_said, others)) or None,
    }


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def lines(found: Sequence[Visit], asked: Asked, numbers: bool) -> Iterator[str]:
    """The list for people, a line a grower, and how many there are."""
    for visit in found:
        who = f"{visit.grower}  {visit.number}" if numbers else visit.grower
        yield f"{asked.named(visit.village)}  {who}  {_left(visit)}: {'; '.join(map(_said, visit.reasons))}"
    yield _counted(found)


def _left(visit: Visit) -> str:
    if visit.sowing is None:
        return "day of sowing not known"
    day = visit.sowing.isoformat()
    if visit.days_left is None:
        return f"day of sowing was {day}"
    if visit.days_left < 0:
        return f"was to sow {_days(-visit.days_left)} ago ({day})"
    return f"sows {'today' if visit.days_left == 0 else f'in {_days(visit.days_left)}'} ({day})"


def _days(count: int) -> str:
    return f"{count} day{'s' if count != 1 else ''}"


def _kg(kg: float) -> float:
    """Kilograms without a decimal that says nothing."""
    return int(kg) if kg == int(kg) else kg


def in_short() -> tuple[str, ...]:
    """The list, how many are on it, and how the seed tests stand, over all growers."""
    with asked_for(None) as asked:
        found = asked.visiting.visits()
        total = asked.visiting.results().of_all()
        return *lines(found, asked, numbers=False), (
            f"{total.growers} growers, {total.lots} lots of seed: {total.good} good, {total.weak} weak, "
            f"{total.poor} poor, {total.running} running, {total.untested} untested, {total.closed} of them "
            "given up by a round"
        )


def _counted(found: Sequence[Visit]) -> str:
    counts = Counter(reason for visit in found for reason in {each.why for each in visit.reasons})
    told = ", ".join(f"{why.value.replace('_', ' ')} {count}" for why, count in sorted(counts.items()))
    return f"{len(found)} to visit: {told}" if found else "nobody needs a visit"


def _said(reason: Reason) -> str:
    """A reason in words: which bag, why, since when, and what helps."""
    bag = "" if reason.bag is None else f"bag {reason.bag} "
    # the count of the first look alone says how many grew at least
    least = "at least " if reason.why.value == "no_final" else ""
    counts = "" if reason.test is None else f" ({least}{reason.test[0]} of {reason.test[1]})"
    what = f"{bag}{reason.why.value.replace('_', ' ')}{counts} since {reason.since.isoformat()}"
    return f"{what}, {_helps(reason)}"


#: What helps in words, with a mass and without one.
_HELPS = {
    "other_seed": ("bring {} kg of other seed", "bring other seed"),
    "keep_back": ("keep back {} kg of grain", "keep back more grain"),
    "count": ("", "count the test"),
    "test": ("", "begin a test"),
    "ask": ("", "ask how the seed stands"),
    "answer": ("", "answer the question"),
}


def _helps(reason: Reason) -> str:
    with_mass, without = _HELPS[reason.help.value]
    by = "" if reason.by is None else f" by {reason.by.isoformat()}"
    return without + by if reason.kg is None else with_mass.format(_kg(reason.kg))
