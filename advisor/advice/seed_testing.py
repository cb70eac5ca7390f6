"""The seed test for a dialogue: how it is put out, what is due on a day of it, and what a count means.

A test is a count of whole, healthy seedlings on its final day. An earlier count is provisional and never judged.
Cool soil stretches the days to both counts by the zone's factor; where no zone is known they are the crop's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from enum import StrEnum
from math import ceil, floor

from advisor.advice.buying import count_day_kind, list_for
from advisor.advice.counting_days import days_of_test, holds_days, latest_days, seeds_of_test
from advisor.advice.days import day_in
from advisor.advice.season import day_of
from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.buylist import Advice, Origin
from advisor.agronomy.cautions import DRESSED_SEED_IS_POISON
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.germination import Band, Firmness, Method, SeedTest, band, firmness, wilson_interval
from advisor.agronomy.limits import within
from advisor.agronomy.poor_seed import Poor, without_other_seed
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Area, CountOf, Day, Kind, Mass, Money, Number, OneOf, Whole

#: Seed that is not sown is food only if nobody dressed it.
_POISON = (Brings(DRESSED_SEED_IS_POISON),)
#: Days of a test that a text still says; flows ask for a day that is nearer.
_MOST_DAYS = 999


class Stage(StrEnum):
    """What is due on a day of a test."""

    WAIT = "wait"
    LOOK = "look"
    FINAL = "final"
    LATE = "late"


class Verdict(StrEnum):
    """What a lot is good for."""

    GOOD = "good"
    WEAK = "weak"
    POOR = "poor"
    VERY_POOR = "very_poor"
    DEAD = "dead"


class Change(StrEnum):
    """What a test changes in what is bought."""

    NOTHING = "nothing"
    MORE_SEED = "more_seed"
    MORE_COST = "more_cost"
    BUY = "buy"


def seed_testing(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of the seed test.

    Args:
        programme: its zones, seed and prices.
        crop: the crop whose seed is tested.
    """
    runs, kinds = _SeedTesting(programme, crop), _kinds(programme, crop)
    village = Takes("grower.village", (OneOf,))
    running = (
        Takes("lot.test_day", (Day,)),
        Takes("lot.test_sown", (Whole,)),
        Takes("lot.early", (Whole,)),
        village,
    )
    counts = (Takes("counted", (CountOf,)), Takes("looked", (CountOf,)), *running[1:3])
    tested = (Takes("lot.test", (CountOf,)), Takes("lot.method", values=tuple(Method)))
    of_list = (Takes("plot.area", (Area,)), Takes("lot.origin", values=tuple(Origin)), *tested)

    def given(*names: str) -> tuple[tuple[str, Kind], ...]:
        return tuple((name, kinds[name]) for name in names if name in kinds)

    seen = Takes("rough_seen", values=("seen", "again"))
    verdict = given("grown", "of", "least", "most", "test_seeds")
    known = ("verdict", "is_rough")
    return (
        Calculation(
            "seed_test",
            (),
            ("grower.village",),
            given("test_seeds", "test_holds", "count_day", "shallow", "deep"),
            runs.rules,
            takes=(village,),
        ),
        Calculation(
            "running_test",
            ("lot.test_day", "lot.test_sown"),
            ("grower.village", "lot.early"),
            given("sown", "sown_on", "look_on", "final_on", "day", "final_day", "early"),
            runs.running,
            also=("stage",),
            sometimes=("early",),
            takes=running,
        ),
        Calculation(
            "early_look",
            ("looked", "lot.test_sown"),
            (),
            given("grown", "of", "sown"),
            runs.looked,
            also=("sown_differs",),
            takes=counts,
        ),
        Calculation(
            "final_count",
            ("counted",),
            ("lot.test_sown", "lot.early"),
            given("grown", "of", "sown", "early"),
            runs.counted,
            also=("sown_differs", "below_early"),
            sometimes=("early",),
            takes=counts,
        ),
        Calculation(
            "test_verdict",
            ("lot.test",),
            ("rough_seen",),
            verdict,
            runs.verdict,
            known,
            takes=(*tested[:1], seen),
            brings=_POISON,
        ),
        Calculation(
            "count_verdict",
            ("counted",),
            ("lot.test_day", "lot.test_sown", "grower.village"),
            (*verdict, *given("final_on")),
            runs.verdict_of_count,
            (*known, "is_early"),
            sometimes=("final_on",),
            takes=(counts[0], *running),
            brings=_POISON,
        ),
        Calculation(
            "test_change",
            ("plot.area", "lot.origin", "lot.test"),
            ("lot.method",),
            given("area", "seed", "more", "more_cost"),
            runs.change,
            also=("change",),
            takes=of_list,
            brings=(Brings(DRESSED_SEED_IS_POISON, ("seed", "more")),),
        ),
    )


def conditions() -> tuple[Condition, ...]:
    """The conditions on a seed test that flows may name."""

    def stage(name: str, stage: Stage) -> Condition:
        return Condition(name, ("stage",), lambda sight: sight["stage"] is stage)

    def verdict(name: str, verdict: Verdict) -> Condition:
        return Condition(name, ("verdict",), lambda sight: sight["verdict"] is verdict)

    def change(name: str, change: Change) -> Condition:
        return Condition(name, ("change",), lambda sight: sight["change"] is change)

    return (
        stage("early_look_is_due", Stage.LOOK),
        stage("final_count_is_due", Stage.FINAL),
        stage("final_count_is_late", Stage.LATE),
        Condition("has_looked_early", ("early",), lambda sight: "early" in sight, ("early",)),
        Condition("sown_differs", ("sown_differs",), lambda sight: sight["sown_differs"] is True),
        Condition("fewer_than_early", ("below_early",), lambda sight: sight["below_early"] is True, ("early",)),
        verdict("test_is_good", Verdict.GOOD),
        verdict("test_is_weak", Verdict.WEAK),
        verdict("test_is_poor", Verdict.POOR),
        verdict("test_is_very_poor", Verdict.VERY_POOR),
        Condition("count_is_early", ("is_early",), lambda sight: sight["is_early"] is True, ("final_on",)),
        Condition("test_is_rough", ("is_rough",), lambda sight: sight["is_rough"] is True),
        Condition("test_is_on_cloth", ("lot.method",), lambda sight: sight.get("lot.method") == Method.PAPER),
        change("test_takes_more_seed", Change.MORE_SEED),
        change("test_costs_more", Change.MORE_COST),
        change("test_makes_buy", Change.BUY),
    )


def stage_on(day: int, first: int, final: int, late: int, *, looked: bool) -> Stage:
    """What is due on a day of a test.

    Args:
        day: days since the seeds were put out.
        first: days to the early look.
        final: days to the final count.
        late: days after the final count from which a count says nothing any more.
        looked: whether the early look is done.

    >>> [str(stage_on(day, 5, 8, 7, looked=False)) for day in (4, 5, 7, 8, 14, 15)]
    ['wait', 'look', 'look', 'final', 'final', 'late']
    >>> str(stage_on(6, 5, 8, 7, looked=True))
    'wait'
    """
    if day < final:
        return Stage.LOOK if first <= day and not looked else Stage.WAIT
    return Stage.FINAL if day < final + late else Stage.LATE


@dataclass(frozen=True, slots=True)
class _SeedTesting:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def rules(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        sowing = self.crop.land.sowing
        depth = {} if sowing is None else {"shallow": _cm(sowing.depth_low_m), "deep": _cm(sowing.depth_high_m)}
        _, final = self._days(sight)
        return {
            "test_seeds": seeds_of_test(self.crop),
            "test_holds": holds_days(self.crop),
            "count_day": final,
            **depth,
        }

    def running(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """What is due today; raises OutOfRange for a test of too few seeds, before it is waited for."""
        sown = self._enough(int(str(sight["lot.test_sown"])))
        sown_on, (first, final) = day_of(sight["lot.test_day"]), self._days(sight)
        today = day_in(self.programme, now)
        day = min(max((today - sown_on).days, 0), _MOST_DAYS)
        early = sight.get("lot.early")
        return {
            "sown": sown,
            "sown_on": sown_on,
            "look_on": sown_on + timedelta(first),
            "final_on": sown_on + timedelta(final),
            "day": day,
            "final_day": final,
            "stage": stage_on(day, first, final, latest_days(self.crop), looked=early is not None),
            **({} if early is None else {"early": early}),
        }

    def looked(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        grown, of = _pair(sight["looked"])
        sown = int(str(sight["lot.test_sown"]))
        return {"grown": grown, "of": self._enough(of), "sown": sown, "sown_differs": of != sown}

    def counted(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """A count before it is read back; a count below the early one is never averaged with it."""
        grown, of = _pair(sight["counted"])
        # Once the count is taken the test is over, and what was sown is what was said with it.
        sown, early = int(str(sight.get("lot.test_sown", of))), sight.get("lot.early")
        return {
            "grown": grown,
            "of": self._enough(of),
            "sown": sown,
            "sown_differs": of != sown,
            "below_early": early is not None and grown < int(str(early)),
            **({} if early is None else {"early": early}),
        }

    def verdict(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        seen = sight.get("rough_seen") == "seen"
        found = self._verdict_of(sight["lot.test"])
        return {**found, "is_rough": found["is_rough"] and not seen}

    def verdict_of_count(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        """The verdict of a count that is told by itself; one of a test that still runs may be too early for it."""
        found = self._verdict_of(sight["counted"])
        if "lot.test_day" not in sight or sight.get("lot.test_sown") != found["of"]:
            return {**found, "is_early": False}
        test = self.running(sight, now)
        is_early = test["stage"] in (Stage.WAIT, Stage.LOOK)
        return {**found, "is_early": is_early, **({"final_on": test["final_on"]} if is_early else {})}

    def change(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """What the list of this lot takes and costs more than that of a lot that is as good as hoped for."""
        found = list_for(self.programme, self.crop, sight)
        bought = sight["lot.origin"] == Origin.BOUGHT
        hoped = {name: value for name, value in sight.items() if not (bought and name == "lot.test")}
        if not bought:
            hoped |= {"lot.test": (self.crop.good_over_percent + 1, 100)}
        usual = list_for(self.programme, self.crop, hoped)
        more_kg, more_cost = max(0.0, found.seed_kg - usual.seed_kg), max(Decimal(0), found.total - usual.total)
        if found.advice is Advice.FIND_OTHER:
            # Bought seed that failed is shown to the dealer; what other seed costs then is not known.
            change = Change.NOTHING if bought else Change.BUY
        elif more_cost:
            change = Change.MORE_COST
        else:
            change = Change.MORE_SEED if round(more_kg, 1) else Change.NOTHING
        return {
            "area": found.area_m2,
            "seed": found.seed_kg,
            "more": more_kg,
            "more_cost": more_cost,
            "change": change,
        }

    def _verdict_of(self, counts: object) -> Mapping[str, object]:
        grown, of = _pair(counts)
        test, crop = SeedTest(grown, of), self.crop
        firm = firmness(test, crop.firm_from_seeds, crop.least_seeds, crop.most_seeds)
        low, high = wilson_interval(grown, of)
        return {
            "grown": grown,
            "of": of,
            "least": floor(100 * low),
            "most": ceil(100 * high),
            "test_seeds": seeds_of_test(crop),
            "verdict": _verdict(test, crop),
            "is_rough": firm is Firmness.ROUGH,
        }

    def _enough(self, sown: int) -> int:
        return int(within("sown", sown, self.crop.least_seeds, self.crop.most_seeds, "seeds"))

    def _days(self, sight: Sight) -> tuple[int, int]:
        days = days_of_test(self.programme, self.crop, sight.get("grower.village"))
        if days is None:
            raise MissingFigure("counts", "add [counts] with first and final to the file of the crop")
        return days


def _verdict(test: SeedTest, crop: Crop) -> Verdict:
    if test.grown == 0:
        return Verdict.DEAD
    found = band(test, crop.good_over_percent, crop.poor_under_percent)
    if found is not Band.POOR:
        return Verdict.GOOD if found is Band.GOOD else Verdict.WEAK
    hopeless = without_other_seed(test, crop.poor_under_percent, crop.refuse_under_percent) is Poor.DO_NOT_SOW
    return Verdict.VERY_POOR if hopeless else Verdict.POOR


def _pair(value: object) -> tuple[int, int]:
    if not isinstance(value, tuple):
        raise CannotBe("count", f"'{value}' is no count", "give how many grew and how many were sown")
    return int(value[0]), int(value[1])


def _cm(depth_m: float) -> float:
    return round(depth_m * 100, 1)


def _kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    bounds, most, sowing = buy_list_bounds(programme, crop), crop.most_seeds, crop.land.sowing
    usual, holds = seeds_of_test(crop), holds_days(crop)
    count_day = count_day_kind(programme, crop)
    return {
        "test_seeds": Whole(usual, usual),
        "test_holds": Whole(holds, holds),
        **count_day,
        **({"final_day": count_day["count_day"]} if count_day else {}),
        **(
            {"shallow": _exactly(_cm(sowing.depth_low_m)), "deep": _exactly(_cm(sowing.depth_high_m))}
            if sowing
            else {}
        ),
        "sown": Whole(1, most),
        "sown_on": Day(),
        "look_on": Day(),
        "final_on": Day(),
        "day": Whole(0, _MOST_DAYS),
        "early": Whole(0, most),
        "grown": Whole(0, most),
        "of": Whole(1, most),
        "least": Whole(0, 100),
        "most": Whole(0, 100),
        "area": Area(programme.plot_low_m2, programme.plot_high_m2),
        "seed": Mass(0, bounds.seed_kg, "kg", 1),
        "more": Mass(0, bounds.seed_kg, "kg", 1),
        "more_cost": Money(Decimal(0), bounds.total),
    }


def _exactly(value: float) -> Number:
    return Number(value, value, 1)
