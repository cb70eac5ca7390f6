"""Several bags of seed for a dialogue: what the one in hand is called, and which other one waits.

Bags are never pooled: each is tested, counted and judged by itself. A message of a round asks of one bag; the
reply to its answer asks of the next one that is due, so that two bags cost no more messages than one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from advisor.advice.counting_days import days_of_test, latest_days
from advisor.advice.days import day_in
from advisor.advice.season import day_of
from advisor.advice.seed_testing import Stage, stage_on
from advisor.agronomy.buylist import Origin
from advisor.agronomy.crop import Crop
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Calculation, Condition, Sight
from advisor.records.aside import MOST, MOST_BAG, next_bag
from advisor.wording.kinds import Whole

#: Of each bag that is not in hand its place, its number, and pairs of name and value of what is known of it.
_OTHERS = "lot.others"
#: What is told of several bags beside what is known of the one in hand.
_COUNTED = ("lot.number", "lot.count", "lot.chosen", _OTHERS)


class Waits(StrEnum):
    """What another bag waits for."""

    COUNT = "count"
    SOWING = "sowing"
    NOTHING = "nothing"


def bags(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations on bags of seed.

    Args:
        programme: its zones, since cool soil stretches a test.
        crop: the crop whose seed is tested.
    """
    runs, number = _Bags(programme, crop), Whole(1, MOST_BAG)
    most = Whole(MOST["lot"], MOST["lot"])
    return (
        Calculation(
            "own_bag",
            (),
            ("lot.number", _OTHERS),
            (("number", number), ("new_number", number), ("most_bags", most)),
            runs.own,
        ),
        Calculation(
            "other_bag",
            (),
            (_OTHERS, "grower.village"),
            (("bag", number),),
            runs.other,
            also=("place", "waits"),
            sometimes=("bag",),
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on other bags that flows may name."""

    def waits(name: str, what: Waits) -> Condition:
        return Condition(name, ("waits",), lambda sight: sight["waits"] is what)

    return waits("other_bag_is_due", Waits.COUNT), waits("other_bag_is_unsown", Waits.SOWING)


@dataclass(frozen=True, slots=True)
class _Bags:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def own(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        number = int(str(sight.get("lot.number", 1)))
        if _others(sight) and not any(name.startswith("lot.") and name not in _COUNTED for name in sight):
            return {"number": number, "new_number": number, "most_bags": MOST["lot"]}  # it is a new one still
        taken = (number, *(other for _, other, _ in _others(sight)))
        return {"number": number, "new_number": next_bag(taken), "most_bags": MOST["lot"]}

    def other(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """The bag that waits: one whose count is due before one that is not sown; by their numbers."""
        others = sorted(_others(sight), key=lambda other: other[1])
        for waits, is_waiting in ((Waits.COUNT, self._is_due), (Waits.SOWING, self._is_unsown)):
            for place, number, facts in others:
                if is_waiting(facts, sight, now):
                    return {"place": place, "bag": number, "waits": waits}
        return {"place": -1, "waits": Waits.NOTHING}

    def _is_due(self, facts: Mapping[str, object], sight: Sight, now: datetime) -> bool:
        days = days_of_test(self.programme, self.crop, sight.get("grower.village"))
        if days is None or "lot.test_day" not in facts or "lot.test_sown" not in facts:
            return False
        day = (day_in(self.programme, now) - day_of(facts["lot.test_day"])).days
        stage = stage_on(day, *days, latest_days(self.crop), looked="lot.early" in facts)
        return stage in (Stage.LOOK, Stage.FINAL)

    def _is_unsown(self, facts: Mapping[str, object], _sight: Sight, _now: datetime) -> bool:
        is_saved = facts.get("lot.origin") == Origin.SAVED
        return is_saved and "lot.test" not in facts and "lot.test_day" not in facts


def _others(sight: Sight) -> tuple[tuple[int, int, Mapping[str, object]], ...]:
    others = sight.get(_OTHERS)
    if not isinstance(others, tuple):
        return ()
    return tuple((place, number, dict(facts)) for place, number, facts in others)
