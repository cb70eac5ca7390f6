"""Weeding for a dialogue: on which days, and how much work the field is.

The days are those of the crop, counted from sowing. What one person weeds in an hour is a figure of the programme;
one that has none still has the days. Nothing is said of what weeds cost in harvest, since no figure says it, and
nothing of products that kill them: for those the pack, a licensed dealer and the extension office have the word.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from advisor.advice.days import day_in
from advisor.advice.season import day_of
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.land_figures import needed
from advisor.agronomy.limits import whole_up
from advisor.agronomy.programme import Programme
from advisor.agronomy.rows import person_days
from advisor.agronomy.season_calendar import days_after
from advisor.dialogue.registry import Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Area, Day, Kind, Whole

_WORK = "a [row_work] section with weeded_by_one to the programme file"


def weeding(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of weeding.

    Args:
        programme: what one person weeds, and its largest plot.
        crop: the crop that is weeded.
    """
    runs = _Weeding(programme, crop)
    sown, area = Takes("plot.sowing", (Day,)), Takes("plot.area", (Area,))
    days: tuple[tuple[str, Kind], ...] = (("next", Day()), ("last", Day()))
    work: tuple[tuple[str, Kind], ...] = (
        ("area", Area(programme.plot_low_m2, programme.plot_high_m2)),
        ("days", Whole(1, _work_days(programme, programme.plot_high_m2) if _is_known(programme) else 1)),
    )
    return (
        Calculation("weed_days", ("plot.sowing",), (), days, runs.days, also=("left",), takes=(sown,)),
        Calculation("weed_work", ("plot.area",), (), work, runs.work, takes=(area,)),
        Calculation("weed_rule", (), (), (("after", Whole(1, 365)), ("after_last", Whole(1, 365))), runs.rule),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on weeding that flows may name."""
    return (
        Condition("weeding_is_over", ("left",), lambda sight: sight["left"] == 0),
        Condition("last_weeding_is_left", ("left",), lambda sight: sight["left"] == 1),
    )


@dataclass(frozen=True, slots=True)
class _Weeding:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def days(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """The next weeding, the last one, and how many are left; once all are past the next is the last."""
        weedings = self._weedings()
        sowing = day_of(sight["plot.sowing"])
        today = day_in(self.programme, now)
        found = [days_after(sowing, day) for day in weedings]
        left = [day for day in found if day >= today]
        return {"next": left[0] if left else found[-1], "last": found[-1], "left": len(left)}

    def work(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """Days of work of one person for one weeding; a day that is begun counts."""
        area_m2 = float(str(sight["plot.area"]))
        return {"area": area_m2, "days": _work_days(self.programme, area_m2)}

    def rule(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        """Days from sowing to the first weeding and to the last, for somebody whose sowing is not known."""
        weedings = self._weedings()
        return {"after": weedings[0], "after_last": weedings[-1]}

    def _weedings(self) -> tuple[int, ...]:
        if self.crop.days is None or not self.crop.days.weedings:
            raise MissingFigure("season", "add [[calendar.weedings]] to the file of the crop")
        return self.crop.days.weedings


def _is_known(programme: Programme) -> bool:
    return programme.land.work is not None and programme.land.work.weeded_m2_per_s is not None


def _work_days(programme: Programme, area_m2: float) -> int:
    work = needed(programme.land.work, "row_work", _WORK)
    weeded_m2_per_s = needed(work.weeded_m2_per_s, "row_work.weeded_by_one", _WORK)
    return max(1, whole_up(person_days(area_m2, weeded_m2_per_s, work.day_s)))
