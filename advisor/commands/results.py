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
_PARTS = ("pooled", "pooled_low", "pooled_high", "lowest", "median", "highest")
_NOT_ONE = (
    "pooled: seedlings of all seeds tested, and the 95 % Wilson interval of that sum. The lots of a village are\n"
    "not one population: the interval says nothing of any grower's seed. Median and range are those of the lots."
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
    head = (
        "village", "growers", "lots", "tested", "good", "weak", "poor", "running", "untested", "closed",
        "grown/sown", "pooled", "95 %", "median", "range",
    )  # fmt: skip
    lines = [head, *(_cells(result, asked.named(result.village)) for result in found)]
    if len(found) > 1:
        lines.append(_cells(total, "all"))
    return f"{lined_up(lines)}\n\n{_NOT_ONE}"


def _cells(result: VillageResult, name: str) -> tuple[str, ...]:
    counts = (
        result.growers, result.lots, result.tested, result.good, result.weak, result.poor, result.running,
        result.untested, result.closed,
    )  # fmt: skip
    said = ("-",) * 5
    if result.interval is not None:
        low, high = result.interval
        said = (
            f"{result.grown}/{result.sown}",
            f"{_percent(result.pooled)} %",
            f"{_percent(low)}-{_percent(high)}",
            f"{_percent(result.middle)} %",
            f"{_percent(result.lowest)}-{_percent(result.highest)}",
        )
    return (name, *map(str, counts), *said)


def _percent(part: float | None) -> str:
    return "-" if part is None else f"{100 * part:.1f}"
