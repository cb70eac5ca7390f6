"""Several fields and lots of seed for a dialogue: the number of the field in hand, and how many there are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from advisor.advice.measuring import picture_of, pictured
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Calculation, Condition, Sight, Takes
from advisor.records.aside import MOST
from advisor.wording.kinds import Area, Length, Whole


def fields(programme: Programme) -> tuple[Calculation, ...]:
    """The calculations on the field in hand.

    Args:
        programme: steps and limits of plots.
    """
    runs, most = _Fields(programme), MOST["plot"]
    numbers = (("number", Whole(1, most)), ("most", Whole(most, most)))
    takes = Takes("plot.area", (Area,)), Takes("grower.step", (Length,))
    return (
        Calculation("field_number", (), ("plot.number",), numbers, runs.number),
        Calculation(
            "own_field",
            ("plot.area",),
            ("plot.number", "grower.step"),
            (*numbers, *picture_of(programme)),
            runs.own,
            takes=takes,
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on how many fields and lots there are that flows may name."""

    def at_least(name: str, scope: str, count: int) -> Condition:
        # where there is but one nothing says how many there are
        return Condition(name, (), lambda sight: int(str(sight.get(f"{scope}.count", 1))) >= count)

    return (
        at_least("has_several_fields", "plot", 2),
        at_least("fields_are_full", "plot", MOST["plot"]),
        at_least("has_several_lots", "lot", 2),
        at_least("bags_are_full", "lot", MOST["lot"]),
    )


@dataclass(frozen=True, slots=True)
class _Fields:
    """The calculations themselves, bound to a programme."""

    programme: Programme

    def number(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        return {"number": int(str(sight.get("plot.number", 1))), "most": MOST["plot"]}

    def own(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        return {**self.number(sight, now), **pictured(self.programme, sight)}
