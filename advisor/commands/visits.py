"""``visits``: who needs a visit, by village, with the reasons."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import click

from advisor.commands.agent_lists import Asked, Cell, asked_for, list_options, show, warn_of_numbers
from advisor.commands.exits import Exit

if TYPE_CHECKING:
    from advisor.campaign.visiting import Reason, Visit

_HEAD = ("village", "grower", "number", "reason", "closed_as", "since", "lot", "grown", "sown", "sowing")


@click.command()
@list_options
@click.option("--numbers", is_flag=True, help="With the growers' numbers, which are personal data.")
def visits(village: str | None, form: str | None, numbers: bool) -> Exit:
    """Lists who needs a visit, by village: the most pressing reason first, then who sows soonest.

    bad seed: a test that failed, of seed that is not sown yet; closed: a round gave the test up, as untested,
    with no count or with the early one only; count overdue: the final count of a test did not come; silent: no
    word after two questions of a round; asked: a question waits, see `advisor questions`.

    Growers are named by their ids; with --numbers by their numbers as well. As JSON or CSV each reason is a row.

    \b
    Examples:
      advisor visits
      advisor visits --village Dovi --numbers
      advisor visits --csv > visits.csv
    """
    with asked_for(village) as asked:
        found = asked.visiting.visits(asked.village, asked.progress)
    head = _HEAD if numbers else tuple(name for name in _HEAD if name != "number")
    rows = [row for visit in found for row in _rows(visit, asked, numbers)]
    show(form, rows, head, lambda: "\n".join(_lines(found, asked, numbers)))
    if numbers and found:
        warn_of_numbers()
    return Exit.DONE


def _rows(visit: Visit, asked: Asked, numbers: bool) -> Iterator[dict[str, Cell]]:
    for reason in visit.reasons:
        grown, sown = reason.test or (None, None)
        yield {
            "village": asked.named(visit.village),
            "grower": visit.grower,
            **({"number": visit.number} if numbers else {}),
            "reason": reason.why.value,
            "closed_as": reason.closed,
            "since": reason.since.isoformat(),
            "lot": None if reason.lot is None else reason.lot + 1,
            "grown": grown,
            "sown": sown,
            "sowing": None if visit.sowing is None else visit.sowing.isoformat(),
        }


def _lines(found: Sequence[Visit], asked: Asked, numbers: bool) -> Iterator[str]:
    if not found:
        yield _counted(found)
        return
    village = None
    for visit in found:
        if visit.village != village:
            village = visit.village
            yield asked.named(village)
        who = f"{visit.grower}  {visit.number}" if numbers else visit.grower
        sows = "" if visit.sowing is None else f"  (sows {visit.sowing.isoformat()})"
        yield f"  {who}  {'; '.join(map(_said, visit.reasons))}{sows}"
    yield _counted(found)


def in_short() -> tuple[str, str]:
    """How many growers are to be visited and why, and how the seed tests stand: counts alone, over all growers."""
    with asked_for(None) as asked:
        found = asked.visiting.visits()
        total = asked.visiting.results(progress=asked.progress).of_all()
    return _counted(found), (
        f"{total.growers} growers, {total.lots} lots of seed: {total.good} good, {total.weak} weak, "
        f"{total.poor} poor, {total.running} running, {total.untested} untested, {total.closed} of them closed"
    )


def _counted(found: Sequence[Visit]) -> str:
    counts = Counter(reason for visit in found for reason in {each.why for each in visit.reasons})
    told = ", ".join(f"{why.value.replace('_', ' ')} {count}" for why, count in sorted(counts.items()))
    return f"{len(found)} to visit: {told}" if found else "nobody needs a visit"


def _said(reason: Reason) -> str:
    what = reason.why.value.replace("_", " ")
    if reason.test is not None:
        what += f" ({reason.test[0]} of {reason.test[1]})"
    if reason.closed:
        what += f" ({reason.closed.replace('_', ' ')})"
    return f"{what} since {reason.since.isoformat()}"
