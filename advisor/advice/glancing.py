"""The season at a glance for a dialogue: the one thing to do next, from the dates and what is known of the seed.

What was bought or done nobody tells, so what is past is said with its day, and taken neither as done nor as left
undone. A test that is on is asked for by the day of its final count, where the day is known on which it began.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from math import floor

from advisor.advice.season import Due, SeasonDates, day_of, season
from advisor.agronomy.buylist import Origin
from advisor.agronomy.crop import Crop
from advisor.agronomy.germination import Band, Method, SeedTest, band
from advisor.agronomy.programme import Programme
from advisor.agronomy.season_calendar import When, day_for_test
from advisor.agronomy.season_days import CropDays, ZoneSeason
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import CountOf, Day, Percent

_SEED = ("lot.origin", "lot.test", "lot.test_day", "lot.kg")


class Next(StrEnum):
    """The one thing to do next."""

    CHOOSE = "choose"
    CHOOSE_LATE = "choose_late"
    OTHER_SEED = "other_seed"
    TEST = "test"
    TEST_LATE = "test_late"
    UNTESTED = "untested"
    COUNT = "count"
    COUNT_LATE = "count_late"
    BUY = "buy"
    SOW = "sow"
    CHECK = "check"
    WEED = "weed"
    NODULES = "nodules"
    HARVEST = "harvest"
    OVER = "over"


#: The dialogues that the season at a glance leads to.
_WAYS = ("buy", "test", "sow", "check", "weed", "roots", "harvest", "fields")

_OF_DUE = {
    Due.CHECK: Next.CHECK,
    Due.WEED: Next.WEED,
    Due.NODULES: Next.NODULES,
    Due.HARVEST: Next.HARVEST,
    Due.OVER: Next.OVER,
}


def glancing(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculation of the season at a glance.

    Args:
        programme: windows of its zones, and its varieties.
        crop: the crop that is sown.
    """
    dates = next(found for found in season(programme, crop) if found.name == "season_dates")
    return (
        Calculation(
            "season_now",
            dates.needs,
            (*dates.may_use, *_SEED),
            (*dates.gives, ("percent", Percent())),
            _Glance(SeasonDates(programme, crop), crop).now,
            also=(*dates.also, "next"),
            sometimes=("count", "percent"),
            takes=(
                *dates.takes,
                Takes("lot.origin", values=tuple(Origin)),
                Takes("lot.test", (CountOf,)),
                Takes("lot.test_day", (Day,)),
            ),
            brings=(Brings("dressed_seed_is_poison", ("percent",)),),
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on what is next that flows may name."""

    def is_next(name: str, what: Next, *shows: str) -> Condition:
        return Condition(name, ("next",), lambda sight: sight["next"] is what, shows)

    return (
        is_next("next_is_choosing", Next.CHOOSE),
        is_next("next_is_choosing_late", Next.CHOOSE_LATE),
        is_next("next_is_other_seed", Next.OTHER_SEED, "percent"),
        is_next("next_is_testing", Next.TEST),
        is_next("next_is_testing_late", Next.TEST_LATE, "count"),
        is_next("next_is_untested", Next.UNTESTED),
        is_next("next_is_counting", Next.COUNT, "count"),
        is_next("next_is_counting_late", Next.COUNT_LATE, "count"),
        is_next("next_is_buying", Next.BUY),
        is_next("next_is_sowing", Next.SOW),
        is_next("next_is_checking", Next.CHECK),
        is_next("next_is_weeding", Next.WEED),
        is_next("next_is_nodules", Next.NODULES),
        is_next("next_is_harvest", Next.HARVEST),
        Condition("next_is_before_sowing", ("next",), lambda sight: sight["next"] not in _OF_DUE.values()),
        *(_goes_to(where) for where in _WAYS),
    )


def _goes_to(where: str) -> Condition:
    """Where the grower wants to go from the season at a glance."""
    return Condition(f"goes_to_{where}", ("go",), lambda sight: sight["go"] == where)


@dataclass(frozen=True, slots=True)
class _Glance:
    """The calculation itself, bound to the dates of a programme."""

    dates: SeasonDates
    crop: Crop

    def now(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """The dates, and of what is known of the seed what comes next."""
        results = dict(self.dates.dates(sight, now))
        results.pop("count", None)
        due, sowing = results["due"], day_of(sight["plot.sowing"])
        assert isinstance(due, Due)
        after = _OF_DUE.get(due)
        if after is not None:
            return results | {"next": after}
        bought = day_of(results["buy_by"])
        return results | self._before(sight, self.dates.day_in_zone(now), sowing, bought)

    def _before(self, sight: Sight, today: date, sowing: date, buy_by: date) -> dict[str, object]:
        """What comes next up to the day of sowing."""
        test, origin = sight.get("lot.test"), sight.get("lot.origin")
        in_time = today <= buy_by
        if isinstance(test, tuple):
            if self._is_poor(test):
                return {"next": Next.OTHER_SEED, "percent": floor(100 * test[0] / test[1]) / 100}
            return {"next": Next.BUY if in_time else Next.SOW}
        zone, days, _ = self.dates.figures(sight)
        if "lot.test_day" in sight:
            count = self._count(day_of(sight["lot.test_day"]), sowing, days, zone)
            return {"next": Next.COUNT if today <= count else Next.COUNT_LATE, "count": count}
        if origin is None:
            return {"next": Next.CHOOSE if in_time else Next.CHOOSE_LATE}
        if origin == Origin.BOUGHT and "lot.kg" not in sight:
            return {"next": Next.BUY if in_time else Next.SOW}
        suits = day_for_test(today, sowing, days, zone.slowed_by)
        if suits.when in (When.EARLY, When.NOW):
            return {"next": Next.TEST}
        late = suits.when is When.LATE
        return {"next": Next.TEST_LATE, "count": suits.final_count} if late else {"next": Next.UNTESTED}

    def _is_poor(self, counts: tuple[int, int]) -> bool:
        test = SeedTest(
            counts[0], counts[1], Method.PAPER
        )  # where it was sown does not change what it is good for
        return band(test, self.crop.good_over_percent, self.crop.poor_under_percent) is Band.POOR

    @staticmethod
    def _count(put_out: date, sowing: date, days: CropDays, zone: ZoneSeason) -> date:
        """The day of the final count of a test."""
        return day_for_test(put_out, max(sowing, put_out), days, zone.slowed_by).final_count
