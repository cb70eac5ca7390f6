"""The seed test on the phone: its days, counts that cannot be, what a count means and what it changes."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from advisor.advice.counting_days import days_of_test, holds_days, seeds_of_test
from advisor.advice.seed_testing import Change, Stage, Verdict, seed_testing, stage_on
from advisor.agronomy.errors import OutOfRange
from advisor.wording.kinds import CountOf
from tests.dialogue.talker import Talker

VALLEY, HILLS = "v1", "v4"
LANGUAGES = ("en", "sw", "hi", "fr")
NOVEMBER = datetime(2026, 11, 5, 6, tzinfo=UTC)


@pytest.fixture(scope="module")
def results(programme, crop):
    """Runs a calculation by its name."""
    found = {each.name: each.run for each in seed_testing(programme, crop)}
    return lambda name, now=NOVEMBER, **sight: found[name](
        {name.replace("_of_", "."): value for name, value in sight.items()}, now
    )


def begun(book, language="en", village="1", sown="50"):
    """A grower whose test was sown today: plain seed of her own, in soil."""
    talker = Talker(book, NOVEMBER)
    talker.dial()
    talker.type(str(LANGUAGES.index(language) + 1), "1", village)
    talker.type("3", "1", "1", "2", "1", "2", "5/11", sown)
    assert talker.spot == "seed_test.waiting"
    return talker


def call(talker, days=0):
    talker.hang_up()
    talker.wait(days=days, hours=2).dial()
    return talker.type("3", "1")


class TestDays:
    def test_are_those_of_the_analysts_in_the_valley_and_a_quarter_more_in_the_hills(self, programme, crop):
        """Association of Official Seed Analysts, soybean: days 5 and 8; the hills' factor is 1.25."""
        assert days_of_test(programme, crop, VALLEY) == (5, 8)
        assert days_of_test(programme, crop, HILLS) == (7, 10)
        assert days_of_test(programme, crop, None) == (5, 8)

    def test_the_facts_of_the_flow_hold_as_long_as_a_test_does(self, book, crop):
        rules = {rule.name: rule for flow in book.flows.values() for rule in flow.facts}

        assert rules["lot.test"].fresh_for.days == holds_days(crop)

    def test_the_example_of_the_question_is_the_size_of_a_test(self, book, crop):
        screen = book.flows["seed_test"].screen("how_many")

        assert screen.ask.example == str(seeds_of_test(crop))
        assert screen.ask.high == crop.most_seeds

    @pytest.mark.parametrize(
        ("day", "stage"),
        [
            (0, "wait"),
            (4, "wait"),
            (5, "look"),
            (7, "look"),
            (8, "final"),
            (14, "final"),
            (15, "late"),
            (99, "late"),
        ],
    )
    def test_decide_what_is_due(self, day, stage):
        assert stage_on(day, 5, 8, 7, looked=False) == Stage(stage)

    def test_the_list_counts_by_the_zone_too(self, book):
        told = {}
        for village in ("1", "4"):
            talker = Talker(book, NOVEMBER)
            talker.dial()
            talker.type("1", "1", village)
            told[village] = talker.type("1", "2.5", "2", "2")
        assert "count on day 8" in told["1"]
        assert "count on day 10" in told["4"]


class TestFirstScreen:
    def test_of_a_later_call_depends_on_the_day(self, book):
        talker = begun(book)
        seen = []
        for days in (0, 4, 1, 2, 1, 7):
            call(talker, days)
            seen.append(talker.spot.partition(".")[2])

        assert seen == ["waiting", "waiting", "early_look", "early_look", "final_count", "late"]

    def test_comes_later_in_the_hills(self, book):
        talker = begun(book, village="4")

        assert "First look: 12 Nov. Final count: 15 Nov." in call(talker, 4)
        call(talker, 5)
        assert talker.spot == "seed_test.early_look"
        call(talker, 1)
        assert talker.spot == "seed_test.final_count"


class TestACountAlone:
    def test_is_of_the_seeds_sown_and_is_read_back_before_it_counts(self, book):
        talker = begun(book)
        call(talker, 8)

        assert talker.type("45").startswith("45 of 50: right?")
        assert talker.grower.fact("lot.test") is None
        talker.type("1")
        assert talker.grower.fact("lot.test").value == (45, 50)
        assert talker.grower.fact("lot.test_day") is None, "the test is over"

    def test_above_the_seeds_sown_is_asked_again_and_never_a_percent(self, book):
        talker = begun(book)
        call(talker, 8)

        assert "More grew than were sown?" in talker.type("90")
        assert "Type both numbers" in talker.type("90%")
        assert talker.spot == "seed_test.final_count"

    @pytest.mark.parametrize("language", LANGUAGES)
    def test_is_read_with_the_seeds_in_each_language(self, book, language):
        for typed in ("45/50", "45 of 50", "45 50", "45-50", CountOf(50).words((45, 50), book.voices[language])):
            talker = begun(book, language)
            call(talker, 8)
            talker.type(typed, "1")

            assert talker.grower.fact("lot.test").value == (45, 50), typed

    @pytest.mark.parametrize("language", LANGUAGES)
    def test_turned_round_is_asked_again(self, book, language):
        """The smaller one cannot be the seeds sown, and nobody knows which of both is wrong."""
        talker = begun(book, language)
        call(talker, 8)
        talker.type("50 45")

        assert talker.spot == "seed_test.final_count"

    @pytest.mark.parametrize(
        ("language", "typed"),
        [
            ("en", "0"), ("en", "none"), ("en", "nothing grew"), ("en", "None grew."), ("en", "zero of 50"),
            ("sw", "0"), ("sw", "hakuna"), ("sw", "hakuna iliyoota"), ("sw", "hakuna kilichoota"),
            ("hi", "0"), ("hi", "कुछ नहीं उगा"), ("hi", "kuch nahi uga"), ("hi", "०"),
            ("fr", "0"), ("fr", "rien"), ("fr", "rien n'a poussé"), ("fr", "aucune n'a germé"),
        ],
    )  # fmt: skip
    def test_of_nothing_is_a_count_and_not_back(self, book, language, typed):
        talker = begun(book, language)
        call(talker, 8)
        talker.type(typed)

        assert talker.spot == "seed_test.read_back"
        talker.type("1")
        assert talker.grower.fact("lot.test").value == (0, 50)
        assert talker.spot == "seed_test.dead"

    @pytest.mark.parametrize(
        ("language", "typed"),
        [
            ("en", "45 did not grow"),
            ("en", "not one grew"),
            ("hi", "एक भी नहीं उगा"),
            ("fr", "45 n'ont pas poussé"),
        ],
    )
    def test_with_a_not_in_it_is_asked_again(self, book, language, typed):
        talker = begun(book, language)
        call(talker, 8)
        talker.type(typed)

        assert talker.spot == "seed_test.final_count"

    def test_of_nine_is_no_next_page(self, book):
        talker = begun(book)
        call(talker, 8)

        assert talker.type("9").startswith("9 of 50: right?")

    def test_of_other_seeds_than_were_said_is_asked_about(self, book):
        talker = begun(book)
        call(talker, 8)

        assert talker.type("45 of 60").startswith("You told us 50 were sown, now 60.\n45 of 60: right?")


class TestTheEarlyLook:
    def test_is_kept_and_never_judged(self, book):
        talker = begun(book)
        call(talker, 5)

        assert "Not the result" in talker.type("30")
        assert talker.grower.fact("lot.early").value == 30
        assert talker.grower.fact("lot.test") is None
        call(talker, 2)
        assert talker.spot == "seed_test.looked_early"

    def test_above_the_final_count_is_asked_about_and_never_averaged(self, book):
        talker = begun(book)
        call(talker, 5)
        talker.type("30")
        call(talker, 3)
        talker.type("25")
        assert talker.spot == "seed_test.fewer"

        talker.type("2", "1")
        assert talker.grower.fact("lot.test").value == (25, 50)


class TestALateCount:
    def test_is_asked_about(self, book):
        talker = begun(book)
        shown = call(talker, 15)

        assert "Today is day 15. The count was for day 8." in shown
        talker.type("2")
        assert talker.spot == "seed_test.too_late"
        assert talker.grower.fact("lot.test") is None


class TestTooFewSeeds:
    def test_are_refused_before_they_are_waited_for(self, book, crop, results):
        talker = Talker(book, NOVEMBER)
        talker.dial()
        talker.type("1", "1", "1", "3", "1", "1", "2", "1", "2", "5/11")

        assert f"Test at least {crop.least_seeds}" in talker.type(str(crop.least_seeds - 1))
        assert talker.grower.fact("lot.test_sown") is None
        with pytest.raises(OutOfRange):
            results("test_verdict", lot_of_test=(10, 19))


class TestVerdict:
    @pytest.mark.parametrize(
        ("grown", "verdict"),
        [
            (100, "good"), (81, "good"), (80, "weak"), (60, "weak"), (59, "poor"), (50, "poor"), (49, "very_poor"),
            (1, "very_poor"), (0, "dead"),
        ],
    )  # fmt: skip
    def test_is_by_the_crops_edges(self, results, grown, verdict):
        assert results("test_verdict", lot_of_test=(grown, 100))["verdict"] is Verdict(verdict)

    def test_of_few_seeds_is_rough_and_shows_its_range(self, results):
        """Wilson, J. Am. Stat. Assoc. 22 (1927) 209: of 20 with 17 the interval is 0.640 to 0.948."""
        found = results("test_verdict", lot_of_test=(17, 20))

        assert (found["is_rough"], found["least"], found["most"]) == (True, 63, 95)
        assert results("test_verdict", lot_of_test=(43, 50))["is_rough"] is False

    def test_of_a_message_waits_for_the_last_day_of_a_test_that_runs(self, book):
        talker = begun(book)
        talker.hang_up()

        assert "Not the result" in talker.sms("test 45")
        assert "weak seed" in talker.sms("test 45 of 60"), "another test than her own"
        assert talker.grower.fact("lot.test") is None
        talker.wait(days=8)
        assert "45 of 50 grew: good seed" in talker.sms("test 45")


class TestWhatItChanges:
    """2.5 acres at 20 kg an acre; inoculant in packs of 250 g for 50 kg, seed at 2600 for 25 kg."""

    AREA = 10117.141056

    def test_good_seed_changes_nothing(self, results):
        found = results("test_change", plot_of_area=self.AREA, lot_of_origin="saved", lot_of_test=(95, 100))

        assert (found["change"], found["more"]) == (Change.NOTHING, 0)

    def test_weak_seed_takes_more_and_its_inoculant_too(self, results):
        """50 kg by 0.80 through 0.70 on cloth is 57.1 kg, for which a second pack at Ul 350 is opened."""
        weak = {"lot_of_test": (70, 100), "lot_of_method": "paper"}
        found = results("test_change", plot_of_area=self.AREA, lot_of_origin="saved", **weak)

        assert found["change"] is Change.MORE_COST
        assert found["more"] == pytest.approx(50 * 0.8 / 0.7 - 50, abs=0.1)
        assert found["more_cost"] == Decimal(350)
        small = results("test_change", plot_of_area=self.AREA / 2.5, lot_of_origin="saved", **weak)
        assert (small["change"], small["more_cost"]) == (Change.MORE_SEED, 0)

    def test_poor_seed_of_her_own_means_to_buy(self, results):
        found = results("test_change", plot_of_area=self.AREA, lot_of_origin="saved", lot_of_test=(40, 100))

        assert (found["change"], found["more_cost"]) == (Change.BUY, Decimal(5200))

    def test_bought_seed_that_failed_goes_to_the_dealer_and_costs_nothing_here(self, results):
        found = results("test_change", plot_of_area=self.AREA, lot_of_origin="bought", lot_of_test=(40, 100))

        assert found["change"] is Change.NOTHING


class TestTheList:
    def test_waits_for_a_test_that_runs_and_comes_back_to_count_it(self, book):
        talker = begun(book)
        talker.hang_up()
        talker.wait(hours=2).dial()
        assert "count on 13 Nov" in talker.type("1", "2.5", "1")
        assert talker.spot == "buy_list.list_test_runs"

        talker.hang_up()
        talker.wait(days=8).dial()
        talker.type("1")
        assert talker.spot == "seed_test.final_count"
        talker.type("45", "1", "1")
        assert talker.spot == "buy_list.list_good"
