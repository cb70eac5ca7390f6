"""The nodule check for a dialogue: when to look, how many plants, and what the counts say.

Nodules are counted on all plants together, as the guide counts them: its mean says whether they are enough, while
a count of plants with enough of them would need a limit that no guide gives. The colour of the others is asked
only where those that work are too few. What fails before the days of the check is no verdict yet. A nitrogen
dressing is never named: that is the agent's, so the caution about handling fertiliser is not brought here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from math import ceil, floor

from advisor.advice.days import day_in
from advisor.advice.season import day_of
from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION, FOLLOW_THE_PACK
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.harvest_figures import NoduleScheme
from advisor.agronomy.limits import whole_up
from advisor.agronomy.nodules import Nodulation, NoduleCount, NoduleNext, NoduleScore, nodule_score
from advisor.agronomy.programme import Programme
from advisor.agronomy.season_calendar import days_after
from advisor.agronomy.season_days import CropDays, zone_season
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Day, Kind, OneOf, Whole

#: Nodules to cut open where there are so many; one in ten is the finest share that whole counts of them tell.
_CUT = 10


class Look(StrEnum):
    """How today lies to the days of the check."""

    EARLY = "early"
    IN_TIME = "in_time"
    LATE = "late"


class Inside(StrEnum):
    """What most of the nodules that do not work are inside."""

    WHITE = "white"
    GREEN = "green"
    BROWN = "brown"


class Told(StrEnum):
    """What the counts say."""

    WORK = "work"
    UNREAD = "unread"
    TOO_SOON = "too_soon"
    YOUNG = "young"
    DROWNED = "drowned"
    FAIL = "fail"


def roots(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of the nodule check.

    Args:
        programme: its zones, in which cool soil slows the crop.
        crop: the crop, with its days and the scheme of the guide in use.
    """
    runs = _Roots(programme, crop)
    sown, village = Takes("plot.sowing", (Day,)), Takes("grower.village", (OneOf,))
    nodules, red = Takes("nodules", (Whole,)), Takes("red", (Whole,))
    days: tuple[tuple[str, Kind], ...] = (("from", Day()), ("to", Day()))
    scheme = crop.harvest.nodules[0] if crop.harvest and crop.harvest.nodules else None
    most = scheme.most_nodules if scheme else 1
    enough = ceil(scheme.enough) if scheme else 1
    plants = scheme.least_plants if scheme else 1
    to_dig: tuple[tuple[str, Kind], ...] = (
        ("plants", Whole(plants, plants)),
        ("enough", Whole(enough, enough)),
    )
    score: tuple[tuple[str, Kind], ...] = (
        ("working", Whole(0, most)),
        ("few", Whole(0, enough)),
        ("enough", Whole(enough, enough)),
    )
    return (
        Calculation(
            "nodule_days",
            ("plot.sowing",),
            ("grower.village",),
            (*days, *to_dig),
            runs.days,
            also=("look",),
            takes=(sown, village),
        ),
        Calculation(
            "nodule_plants",
            (),
            (),
            (*to_dig, ("after", Whole(1, 365)), ("after_last", Whole(1, 365))),
            runs.plants,
        ),
        Calculation("nodules_to_cut", ("nodules",), (), (("cut", Whole(0, _CUT)),), runs.cut, takes=(nodules,)),
        Calculation(
            "nodule_score",
            ("plot.sowing", "nodules"),
            ("grower.village", "red", "inside"),
            (*days, *score),
            runs.score,
            also=("told",),
            sometimes=("working", "few"),
            takes=(sown, village, nodules, red, Takes("inside", values=tuple(Inside))),
            brings=(
                Brings(ASK_DEALER_OR_EXTENSION, ("working", "few")),
                Brings(FOLLOW_THE_PACK, ("few",)),
            ),
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on nodules that flows may name."""

    def told(name: str, told: Told, *shows: str) -> Condition:
        return Condition(name, ("told",), lambda sight: sight["told"] is told, shows)

    return (
        Condition("nodules_are_early", ("look",), lambda sight: sight["look"] is Look.EARLY),
        Condition("nodules_are_late", ("look",), lambda sight: sight["look"] is Look.LATE),
        Condition("there_are_nodules", ("cut",), lambda sight: sight["cut"] != 0),
        told("nodules_work", Told.WORK, "working"),
        told("others_are_unread", Told.UNREAD),
        told("nodules_come_later", Told.TOO_SOON),
        told("nodules_are_young", Told.YOUNG),
        told("nodules_drowned", Told.DROWNED),
        told("nodules_fail", Told.FAIL, "few"),
    )


@dataclass(frozen=True, slots=True)
class _Roots:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def days(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """First and last day of the check; where the village is not known, as if no soil were cool."""
        days, slowed_by = self._crop_days(), self._slowed_by(sight)
        sowing, today = day_of(sight["plot.sowing"]), day_in(self.programme, now)
        first = days_after(sowing, whole_up(days.nodules_from * slowed_by))
        last = days_after(sowing, whole_up(days.nodules_to * slowed_by))
        look = Look.EARLY if today < first else Look.LATE if today > last else Look.IN_TIME
        return {"from": first, "to": last, "look": look, **self._to_dig()}

    def plants(self, _sight: Sight, _now: datetime) -> Mapping[str, object]:
        """What to dig up, and on which days from sowing where the soil is warm."""
        days = self._crop_days()
        return {**self._to_dig(), "after": days.nodules_from, "after_last": days.nodules_to}

    def _to_dig(self) -> dict[str, object]:
        scheme = self._scheme()
        return {"plants": scheme.least_plants, "enough": ceil(scheme.enough)}

    def cut(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """All of them where they are few."""
        return {"cut": _to_cut(sight)}

    def score(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """What the counts say; of the mean the whole nodules, so that too few never read as enough."""
        scheme = self._scheme()
        found, days = nodule_score(_count(sight, scheme.least_plants), scheme), self.days(sight, now)
        told = _told(found, sight, days["look"])
        name = {Told.WORK: "working", Told.FAIL: "few"}.get(told)
        counted = {name: floor(found.working_per_plant + 1e-9)} if name else {}
        return {"from": days["from"], "to": days["to"], "enough": ceil(scheme.enough), "told": told, **counted}

    def _scheme(self) -> NoduleScheme:
        if self.crop.harvest is None:
            raise MissingFigure("harvest.nodules", "add [[harvest.nodules]] to the file of the crop")
        return self.crop.harvest.scheme()

    def _crop_days(self) -> CropDays:
        if self.crop.days is None:
            raise MissingFigure("season", "add a [calendar] section to the file of the crop")
        return self.crop.days

    def _slowed_by(self, sight: Sight) -> float:
        village = self.programme.village(str(sight.get("grower.village", "")))
        if village is None:
            return 1
        try:
            return zone_season(self.programme.seasons, self.crop.key, village.zone).slowed_by
        except MissingFigure:
            return 1


def _to_cut(sight: Sight) -> int:
    return min(_CUT, int(str(sight["nodules"])))


def _count(sight: Sight, plants: int) -> NoduleCount:
    """What was counted; while their colour is not told the others are taken for green, which changes no sum."""
    nodules, cut = int(str(sight["nodules"])), _to_cut(sight)
    red = int(str(sight.get("red", 0))) if nodules else 0
    inside = str(sight.get("inside", Inside.GREEN))
    if red > cut:
        raise CannotBe(
            "more_cut_than_found", f"{red} of {cut} nodules are red inside", "count those cut open again"
        )
    others = {colour: cut - red if colour == inside else 0 for colour in Inside}
    return NoduleCount(plants, nodules, red, others[Inside.WHITE], others[Inside.GREEN], others[Inside.BROWN])


def _told(found: NoduleScore, sight: Sight, look: object) -> Told:
    if found.verdict is Nodulation.WORKING:
        return Told.WORK
    if look is Look.EARLY:
        return Told.TOO_SOON
    if "inside" not in sight and int(str(sight.get("red", 0))) < _to_cut(sight):
        return Told.UNREAD
    return {NoduleNext.LOOK_AGAIN: Told.YOUNG, NoduleNext.DRAIN: Told.DROWNED}.get(found.next, Told.FAIL)
