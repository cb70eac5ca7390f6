"""``results``: what the seed tests of each village have shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from advisor.commands.agent_lists import Asked, Cell, asked_for, lined_up, list_options, show
from advisor.commands.exits import Exit

if TYPE_CHECKING:
    from advisor.campaign.village_results import VillageResult

_COUNTS = (
    "growers", "growers_tested", "lots", "tested", "good", "weak", "poor", "running", "untested", "closed",
    "grown", "sown",
)  # fmt: skip
#: The counts that a table shows; its other figures stand in one below it, since all do not fit a screen.
_SHOWN = ("growers", "lots", "tested", "good", "weak", "poor", "running", "untested", "closed")
_PARTS = ("pooled", "pooled_low", "pooled_high", "lowest", "median", "highest")
_NOT_ONE = (
    "pooled: seedlings of all seeds tested, and the 95 % Wilson interval of that sum. The\n"
    "lots of a village are not one population: the interval says nothing of any grower's\n"
    "seed. Median and range are those of the lots."
)


@click.command()
@list_options
def results(village: str | None, form: str | None) -> Exit:
    """Shows by village how the seed tests went. It names nobody.

    lots: sacks of seed of which something is known; tested: those with a final count, by the crop's edges good,
    weak or poor; running: a test was begun; untested: neither, closed ones among them, which a round gave up.

    \b
    Examples:
      advisor results
      advisor results --csv > results.csv
    """
    with asked_for(village) as asked:
        sums = asked.visiting.results(asked.village, asked.progress)
    found = sums.by_village()
    rows = [_row(result, asked.named(result.village)) for result in found]
    show(form, rows, ("village", *_COUNTS, *_PARTS), lambda: _table(found, sums.of_all(), asked))
    return Exit.DONE


def _row(result: VillageResult, name: str) -> dict[str, Cell]:
    low, high = result.interval or (None, None)
    parts = (result.pooled, low, high, result.lowest, result.middle, result.highest)
    return {
        "village": name,
        **{count: getattr(result, count) for count in _COUNTS},
        **{part: None if value is None else round(value, 4) for part, value in zip(_PARTS, parts, strict=True)},
    }


def _table(found: Sequence[VillageResult], total: VillageResult, asked: Asked) -> str:
    if not found:
        return "no growers yet"
    named = [(asked.named(result.village), result) for result in found]
    if len(found) > 1:
        named.append(("all", total))
    return results_table(named)


def results_table(named: Sequence[tuple[str, VillageResult]]) -> str:
    """Lots by village, and below it how the seeds of the tested ones grew; no line is wider than a screen.

    Args:
        named: pairs of name and result of a village.
    """
    told = lined_up([("village", *_SHOWN), *((name, *_counts(result)) for name, result in named)])
    grew = [(name, *_seedlings(result)) for name, result in named if result.interval is not None]
    if grew:
        told += f"\n\n{lined_up([('village', 'grown/sown', 'pooled', '95 %', 'median', 'range'), *grew])}"
    return f"{told}\n\n{_NOT_ONE}"


def _counts(result: VillageResult) -> tuple[str, ...]:
    return tuple(str(getattr(result, name)) for name in _SHOWN)


def _seedlings(result: VillageResult) -> tuple[str, ...]:
    low, high = result.interval or (None, None)
    return (
        f"{result.grown}/{result.sown}",
        f"{_percent(result.pooled)} %",
        f"{_percent(low)}-{_percent(high)}",
        f"{_percent(result.middle)} %",
        f"{_percent(result.lowest)}-{_percent(result.highest)}",
    )


def _percent(part: float | None) -> str:
    return "-" if part is None else f"{100 * part:.1f}"
