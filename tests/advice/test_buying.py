"""From what a grower answered to what the screens of the list name."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.buying import conditions, list_for
from advisor.advice.time_to_test import no_time_to_test
from advisor.agronomy.buylist import Advice
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.units import ACRE_M2

NOW = datetime(2027, 3, 1, tzinfo=UTC)


def sight(acres=2.5, origin="bought", **more):
    return {"plot.area": acres * ACRE_M2, "lot.origin": origin} | {
        name.replace("__", "."): value for name, value in more.items()
    }


def holding(book, known, now):
    """Names of the conditions on a buy list that hold, of those that look at what it says of tests and origin."""
    found = {**known, **book.registry.calculation("buy_list").run(known, now)}
    looked_at = {*found, "final_on"}  # which is there only while a test runs
    return {each.name for each in conditions() if looked_at.issuperset(each.needs) and each.holds(found)}


class TestTheList:
    def test_25_acres_of_bought_seed_take_50_kg_and_one_pack(self, book, crop):
        """20 kg an acre, and a 250 g pack for 50 kg: common practice, no source."""
        found = list_for(book.programme, crop, sight())

        assert (found.advice, found.seed_kg, found.inoculant_g) == (Advice.BUY_SEED, 50.0, 250.0)
        assert found.total == Decimal(2 * 2600 + 350)

    def test_seed_that_tested_70_of_100_takes_more_in_proportion(self, book, crop):
        """The rate assumes 80 %: 50 kg x 80 / 70 (arithmetic)."""
        found = list_for(book.programme, crop, sight(origin="saved", lot__test=(70, 100), lot__method="paper"))

        assert found.advice is Advice.SOW_MORE
        assert found.seed_kg == pytest.approx(50 * 80 / 70, abs=1e-4)

    def test_untested_seed_is_kept_back_and_nothing_is_bought(self, book, crop):
        """At the 60 % that the programme assumes, and 10 % lost in sorting: 50 x 80/60 / 0.9 (arithmetic)."""
        found = list_for(book.programme, crop, sight(origin="saved"))

        assert found.advice is Advice.TEST_FIRST
        assert found.grain_kg == pytest.approx(50 * 80 / 60 / 0.9, abs=1e-4)
        assert found.total == 0

    def test_the_part_that_money_is_enough_for_is_a_list_of_its_own(self, book, crop):
        part = list_for(book.programme, crop, sight(money="2000", portion="part"))

        assert part.total <= 2000
        assert part.area_m2 < 2.5 * ACRE_M2
        assert part.affordable_area_m2 is None

    def test_a_spacing_means_what_it_says_whatever_its_place_in_the_programme(self, book, crop):
        narrow = list_for(book.programme, crop, sight(plot__spacing="60x5"))
        gone = list_for(book.programme, crop, sight(plot__spacing="70x20"))

        assert narrow.holes.hole_m == pytest.approx(0.05)
        assert gone.holes.hole_m == pytest.approx(0.1), (
            "a spacing that is no longer offered gives way to the usual one"
        )

    @pytest.mark.parametrize("wrong", [{"origin": "boughtt"}, {"lot__test": (45, 50), "lot__method": "tea"}])
    def test_a_word_that_means_nothing_is_refused_and_no_fault_of_the_grower(self, book, crop, wrong):
        with pytest.raises(CannotBe):
            list_for(book.programme, crop, sight(**wrong))


class TestTheTimeThatIsLeftForATest:
    """The final count is on day 8 by the crop's file, on day 10 in the cool hills by the programme's."""

    TODAY = date(2027, 3, 1)

    @pytest.mark.parametrize(
        ("village", "left", "too_late"),
        [
            ("v1", -1, False),  # that field is sown: a test would be for another one
            ("v1", 0, True),
            ("v1", 1, True),
            ("v1", 7, True),
            ("v1", 8, False),  # counted on the very day of sowing, and before it
            ("v1", 30, False),
            ("v4", 9, True),
            ("v4", 10, False),
            (None, 7, True),
            (None, 8, False),
        ],
    )
    def test_ends_when_a_count_would_come_after_the_sowing(self, book, crop, village, left, too_late):
        known = {"plot.sowing": (self.TODAY + timedelta(left)).isoformat()}
        if village:
            known["grower.village"] = village

        assert no_time_to_test(book.programme, crop, known, self.TODAY) is too_late

    def test_never_ends_while_no_day_of_sowing_is_known(self, book, crop):
        assert not no_time_to_test(book.programme, crop, {"grower.village": "v1"}, self.TODAY)

    @pytest.mark.parametrize(
        ("known", "holds"),
        [
            (sight(origin="saved"), {"no_time_to_test"}),
            (sight(origin="saved", lot__test=(18, 20), lot__method="bed"), {"no_time_to_test_again"}),
            (sight(origin="saved", lot__test=(18, 20), lot__method="bed", rough_seen="seen"), set()),
            (sight(origin="saved", lot__test=(90, 100), lot__method="bed"), set()),
            (sight(), {"no_time_to_test_other"}),
            (sight(lot__test=(90, 100), lot__method="bed"), set()),
            # what failed is not sown: other seed is bought in its place, and that is not tested
            (sight(origin="saved", lot__test=(40, 100), lot__method="bed"), {"no_time_to_test_other"}),
        ],
    )
    def test_matters_to_seed_that_is_not_tested_or_not_enough_of_it(self, book, known, holds):
        """The same list, looked at on the last day and on the one after it."""
        conditions = [each for each in book.registry.conditions if each.name.startswith("no_time_to_test")]
        run = book.registry.calculation("buy_list").run
        known = {**known, "plot.sowing": "2027-03-09"}

        for now, then in ((NOW, set()), (NOW + timedelta(1), holds)):
            found = {**known, **run(known, now)}
            assert {each.name for each in conditions if each.holds(found)} == then

    def test_is_reckoned_in_the_days_of_the_programme(self, book):
        """At 21:00 UTC the next day has begun where the programme is, three hours to the east."""
        known = sight(origin="saved", plot__sowing="2027-03-09")
        run = book.registry.calculation("buy_list").run

        evening = NOW.replace(hour=20, minute=59)
        assert [run(known, each)["no_time"] for each in (evening, evening + timedelta(minutes=1))] == [False, True]


class TestATestThatRuns:
    """Put out on the first of March it is counted on the ninth, in the cool hills on the eleventh."""

    @pytest.mark.parametrize(
        ("village", "sowing", "too_late"),
        [
            ("v1", "2027-03-08", True),
            ("v1", "2027-03-09", False),  # the day that a list promised when it asked for the test
            ("v4", "2027-03-10", True),
            ("v4", "2027-03-11", False),
            (None, "2027-03-08", True),
            ("v1", None, False),
        ],
    )
    def test_is_too_late_where_its_count_comes_after_the_sowing(self, book, village, sowing, too_late):
        known = sight(origin="saved", lot__test_day="2027-03-01", grower__village=village, plot__sowing=sowing)
        known = {name: value for name, value in known.items() if value is not None}

        assert holding(book, known, NOW + timedelta(2)) == {
            "seed_test_runs",
            "seed_is_untested",
            "seed_test_ends_late" if too_late else "running_test_is_in_time",
        } | ({"no_time_to_test"} if sowing else set())

    def test_is_for_another_sowing_once_the_day_is_past(self, book):
        known = sight(origin="saved", lot__test_day="2027-03-01", plot__sowing="2027-03-03")

        assert "seed_test_ends_late" in holding(book, known, NOW + timedelta(2))
        assert "seed_test_ends_late" not in holding(book, known, NOW + timedelta(3))

    def test_of_bought_seed_is_waited_for_like_any_other(self, book):
        known = sight(lot__test_day="2027-03-01")

        assert holding(book, known | {"plot.sowing": "2027-03-09"}, NOW + timedelta(2)) == {
            "seed_is_bought",
            "seed_is_bought_and_tested",  # its ways come behind those of seed that is not
            "running_test_is_in_time",
            "no_time_to_test_other",
            "lot_is_bought",
        }
        assert "running_test_is_in_time" not in holding(book, known | {"plot.sowing": "2027-03-08"}, NOW)


class TestBounds:
    @given(
        acres=st.floats(0.05, 20),
        origin=st.sampled_from(["bought", "saved"]),
        grown=st.integers(0, 100),
        sown=st.integers(20, 400),
        method=st.sampled_from(["paper", "bed"]),
        tested=st.booleans(),
        money=st.none() | st.integers(1, 99_999),
        spacing=st.sampled_from(["60x10", "60x5"]),
    )
    def test_every_result_lies_within_the_kind_that_is_declared_for_it(
        self, book, crop, acres, origin, grown, sown, method, tested, money, spacing
    ):
        known = sight(acres, origin, plot__spacing=spacing)
        if tested:
            known |= {"lot.test": (min(grown, sown), sown), "lot.method": method}
        if money is not None:
            known["money"] = str(money)
        for name in ("buy_list", "sowing"):
            calculation = book.registry.calculation(name)
            results = calculation.run(known, NOW)
            kinds = dict(calculation.gives)
            assert set(results) <= set(kinds) | set(calculation.also)
            for result, value in results.items():
                if result in kinds:
                    kinds[result].check(value)
