"""The seed-test round from start to end, on the shipped dialogues: each line of its timeline, each rule."""

from __future__ import annotations

from datetime import timedelta

import pytest

from advisor.dialogue.talk import Spot
from tests.service.seed_round import ZONE, S, Season, at
from tests.service.stage import ANN

BEN = "+999004445566"


@pytest.fixture
def season() -> Season:
    """The round, started for Ann, whose field is known, in time."""
    found = Season(at(-22))
    found.has(plot_area=8094.0)
    found.start()
    return found


def sow(season: Season, *, on: int = -15) -> None:
    """Ann answers to the first two messages, and has sown 100 seeds."""
    season.until(at(-21, "12:00"))
    season.sms("2")
    season.until(at(-16, "18:00"))
    season.until(at(on, "18:00"))
    season.sms("today")
    season.sms("100")


def asked_about_the_test(season: Season, sown: int = -15) -> list[int]:
    """The days from the sowing of the test on which something was asked about it."""
    begins = ("Your seed test, first", "Your seed test: how many", "Count your seed test", "We wait for the count")
    found = [moment for moment, number, text in season.inbox if number == ANN and text.startswith(begins)]
    return [(moment.astimezone(ZONE).date() - S).days - sown for moment in found]


def screen(season: Season) -> Spot | None:
    session = season.stored().session
    return None if session is None else session.spots[-1]


class TestWhoAnswers:
    def test_gets_seven_messages_a_verdict_and_the_list(self, season: Season) -> None:
        sow(season)
        season.until(at(-10, "09:00"))
        season.sms("30")
        season.until(at(-7, "09:00"))
        assert "85 of 100: right?" in season.sms("85")
        assert "85 of 100 grew: good seed" not in season.sms("?")
        season.sms("1")
        season.until(at(20))

        assert season.days() == [-21, -16, -10, -7, -6, -3, 8]
        assert season.fact("lot.test") == (85, 100)
        assert season.fact("lot.closed") is None

    def test_hears_the_verdict_at_once(self, season: Season) -> None:
        sow(season)
        season.until(at(-7, "09:00"))
        season.sms("85")
        season.sms("1")

        assert "85 of 100 grew: good seed" in season.sms("1")  # in soil

    def test_of_bad_seed_hears_so_and_gets_a_list_with_seed_to_buy(self, season: Season) -> None:
        sow(season)
        season.until(at(-7, "09:00"))
        season.sms("20")
        season.sms("1")
        assert "20 of 100 grew: very poor seed" in season.sms("1")
        (message,) = season.until(at(-6, "18:00"))

        assert "Buy" in message

    def test_is_not_reminded_of_what_was_answered(self, season: Season) -> None:
        sow(season, on=-15)
        season.until(at(-10, "09:00"))
        season.sms("30")

        assert season.until(at(-8, "23:00")) == []


class TestWhoIsSilent:
    def test_is_asked_until_the_last_good_day_and_closed_untested(self, season: Season) -> None:
        season.until(at(-8))

        assert season.days() == [-21, -16, -14, -12, -10]
        assert season.fact("lot.closed") == "untested"
        assert season.store.standing("seed_test").figures["closed"] == 1

    def test_gets_the_list_the_inoculant_the_rain_and_the_count_nevertheless(self, season: Season) -> None:
        season.until(at(9))

        assert season.days()[5:] == [-6, -3, -1, 8]

    def test_with_seed_of_her_own_is_told_what_to_keep_back_and_promised_no_test(self) -> None:
        season = Season(at(-22))
        season.has(plot_area=8094.0, lot_origin="saved")
        season.start()
        season.until(at(-7))
        (message,) = season.until(at(-6, "18:00"))

        assert season.fact("lot.closed") == "untested"
        assert message.splitlines()[:3] == [
            "2 acres: keep back 59.3 kg of grain.",
            "Not tested, and no time is left for a test.",
            "Ask your agent before you sow or buy.",
        ]

    def test_after_the_day_of_the_early_count_is_reminded_once_and_asked_for_the_final_one(
        self, season: Season
    ) -> None:
        sow(season)
        season.until(at(-15 + 8, "12:00"))

        assert asked_about_the_test(season) == [5, 6, 8]

    def test_at_the_final_count_is_reminded_twice_and_closed_for_a_visit(self, season: Season) -> None:
        sow(season)
        season.until(at(-15 + 12))

        assert asked_about_the_test(season) == [5, 6, 8, 9, 10]
        assert season.fact("lot.closed") == "no_count"

    def test_at_the_final_count_is_closed_with_the_early_count_as_a_lower_bound(self, season: Season) -> None:
        sow(season)
        season.until(at(-10, "09:00"))
        season.sms("30")
        season.until(at(-15 + 12))

        assert season.fact("lot.closed") == "early_only"
        assert season.fact("lot.early") == 30

    def test_with_no_field_known_is_told_to_buy_in_time(self) -> None:
        season = Season(at(-22))
        season.has()
        season.start()
        season.until(at(-4))

        assert -6 not in season.days()
        assert -5 in season.days()

    def test_whose_field_is_written_down_after_that_gets_no_second_message_on_what_to_buy(self) -> None:
        season = Season(at(-22))
        season.has()
        season.start()
        season.until(at(-5, "18:00"))
        season.has_learnt("plot.area", 8094.0)
        season.until(at(-3, "09:00"))

        assert season.days()[-1] == -5


class TestLabelledSeed:
    def test_needs_no_test_and_how_to_test_it_anyway_is_one_key(self, season: Season) -> None:
        season.until(at(-21, "12:00"))

        assert season.sms("1").startswith("Seed with a label needs no test. Keep the label.")
        assert season.sms("1").startswith("Where do you want to sow the test?")

    def test_leaves_the_test_and_keeps_the_rest(self, season: Season) -> None:
        season.until(at(-21, "12:00"))
        season.sms("1")
        season.until(at(9))

        assert season.days() == [-21, -6, -3, -1, 8]
        assert season.fact("lot.closed") is None

    def test_of_a_field_of_unknown_size_is_told_to_be_bought_in_time(self) -> None:
        season = Season(at(-22))
        season.has()
        season.start()
        season.until(at(-21, "12:00"))
        season.sms("1")
        season.until(at(9))

        assert season.days() == [-21, -5, -3, -1, 8]

    def test_that_is_tested_anyway_is_asked_for_its_counts(self, season: Season) -> None:
        season.until(at(-21, "12:00"))
        for typed in ("1", "1", "1", "2", "today", "100"):
            season.sms(typed)
        season.until(at(-12, "12:00"))

        assert season.fact("lot.test_day") == at(-21).date().isoformat()
        assert season.days() == [-21, -16, -15, -13, -12]

    def test_that_was_tested_anyway_is_judged_by_its_count(self, season: Season) -> None:
        season.until(at(-21, "12:00"))
        for typed in ("1", "1", "1", "2", "today", "100"):
            season.sms(typed)
        season.until(at(-16, "12:00"))
        season.sms("60")
        season.until(at(-13, "12:00"))
        season.sms("88")

        assert "88 of 100 grew: good seed" in season.sms("1")
        season.until(at(9))
        assert season.days() == [-21, -16, -13, -6, -3, 8]


class TestLater:
    def test_moves_the_next_reminder_by_two_days(self, season: Season) -> None:
        season.until(at(-14, "12:00"))
        assert "Good, later" in season.sms("3")
        season.until(at(-8))

        # the second reminder waits with the last good day, of which only the last is sent
        assert season.days() == [-21, -16, -14, -10]

    def test_said_again_moves_nothing_more(self, season: Season) -> None:
        season.until(at(-14, "12:00"))
        season.sms("3")
        season.sms("0")
        season.sms("3")
        season.until(at(-8))

        assert season.days() == [-21, -16, -14, -10]
        assert season.fact("lot.closed") == "untested"


class TestALateStart:
    @pytest.mark.parametrize(
        ("day", "said"), [(-13, "Little time"), (-4, "Too late to test"), (-9, "Too late to test")]
    )
    def test_warns(self, day: int, said: str) -> None:
        season = Season(at(day, "06:45"))
        season.has()
        season.start()

        assert season.until(at(day, "07:30"))[0].startswith(said)

    @pytest.mark.parametrize("day", [-5, -2])
    def test_close_to_the_sowing_promises_no_verdict_before_it(self, day: int) -> None:
        season = Season(at(day, "06:45"))
        season.has(plot_area=8094.0)
        season.start()

        told = season.until(at(0))
        assert told[0].startswith("Too late to test your seed before you sow")
        assert not [text for text in told if "result at once" in text]

    @pytest.mark.parametrize("day", [-14, -12, -10])
    def test_on_the_day_of_a_reminder_warns_and_does_not_remind(self, day: int) -> None:
        """The warning comes in the first hour of the day, the reminder would come at 08:00."""
        season = Season(at(day, "05:00"))
        season.has()
        season.start()

        (text,) = season.until(at(day, "20:00"))
        assert text.startswith("Little time is left for your seed test.")

    def test_in_time_does_not_warn(self, season: Season) -> None:
        assert not [text for text in season.until(at(9)) if text.startswith(("Little time", "Too late to test"))]


class TestADayThatMoves:
    def test_moves_all_that_was_not_sent(self, season: Season) -> None:
        season.until(at(-20))
        season.has_moved(S + timedelta(days=10))
        season.until(at(20))

        assert season.days() == [-21, -6, -4, -2, 0, 4, 7, 9, 18]

    def test_sends_nothing_again(self, season: Season) -> None:
        season.until(at(-12, "20:00"))
        season.has_moved(S + timedelta(days=30))
        season.until(at(40))

        assert len(season.days()) == len({text for _, _, text in season.inbox}) + 1  # the reminder comes twice


class TestATestThatIsTooOld:
    def test_is_asked_for_again(self) -> None:
        season = Season(at(-42))
        season.has(lot_test=(90, 100))
        season.start()
        season.until(at(-9))

        # thirty days after the result is S-12: until then it holds, from then on it is asked for
        assert season.days() == [-21, -12, -10]

    def test_that_is_fresh_is_not(self) -> None:
        season = Season(at(-22))
        season.has(lot_test=(90, 100))
        season.start()
        season.until(at(-8))

        assert season.days() == [-21]


class TestAnAnswer:
    def test_belongs_to_the_question_that_is_open(self, season: Season) -> None:
        sow(season)
        season.until(at(-10, "09:00"))
        assert screen(season) == Spot("seed_test", "early_look")
        season.until(at(-7, "09:00"))
        assert screen(season) == Spot("seed_test", "final_count")

        assert "45 of 100: right?" in season.sms("45")

    def test_comes_too_late_after_two_days(self, season: Season) -> None:
        season.until(at(-21, "12:00"))
        season.until(at(-18, "12:00"))

        season.sms("2")
        assert season.fact("lot.origin") is None

    def test_comes_in_time_within_two_days(self, season: Season) -> None:
        season.until(at(-21, "12:00"))
        season.until(at(-20, "20:00"))

        season.sms("2")
        assert season.fact("lot.origin") == "saved"

    def test_on_a_call_is_not_disturbed_by_a_question(self, season: Season) -> None:
        season.until(at(-21, "07:30"))
        season.call("")
        before = screen(season)
        season.clock.at = at(-21, "08:10")
        season.until(at(-21, "08:10"))
        assert (season.days(), screen(season)) == ([], before)

        season.until(at(-21, "12:00"))
        assert (season.days(), screen(season)) == ([-21], Spot("seed_test", "origin"))

    def test_moves_only_the_round_of_who_answered(self, season: Season) -> None:
        season.has(BEN)
        sow(season)
        season.until(at(-8))

        assert season.days()[:3] == [-21, -16, -10]
        assert season.days(BEN) == [-21, -16, -14, -12, -10]


class TestTheTraps:
    @pytest.fixture
    def counting(self, season: Season) -> Season:
        sow(season)
        season.until(at(-7, "09:00"))
        return season

    def test_forty_five_of_a_hundred_is_read_back_before_it_counts(self, counting: Season) -> None:
        assert "45 of 100: right?" in counting.sms("45")
        assert counting.fact("lot.test") is None

    @pytest.mark.parametrize("typed", ["45/100", "45 of 100"])
    def test_a_count_of_a_count_is_taken_in_each_form(self, counting: Season, typed: str) -> None:
        assert "45 of 100" in counting.sms(typed)

    @pytest.mark.parametrize("typed", ["120", "most", "5 died", "100 45"])
    def test_what_is_no_count_is_asked_again(self, counting: Season, typed: str) -> None:
        counting.sms(typed)
        assert screen(counting) == Spot("seed_test", "final_count")
        assert counting.fact("lot.test") is None

    def test_nothing_grown_is_a_count_and_not_the_way_back(self, counting: Season) -> None:
        assert "0 of 100: right?" in counting.sms("0")

    def test_a_final_count_under_the_early_one_is_asked_about(self, season: Season) -> None:
        sow(season)
        season.until(at(-10, "09:00"))
        season.sms("60")
        season.until(at(-7, "09:00"))

        assert "60 at the first look, now only 45" in season.sms("45")
        assert season.fact("lot.test") is None


@pytest.mark.parametrize("sown", range(-20, -7))
def test_no_other_message_takes_the_place_of_a_question_about_the_test(sown: int) -> None:
    """The list of S-6 and what follows it come on the same days as counts, whichever day the test was sown on."""
    season = Season(at(-22))
    season.has(plot_area=8094.0)
    season.start()
    season.until(at(sown, "18:00"))
    season.has_learnt("lot.test_day", at(sown).date().isoformat())
    season.has_learnt("lot.test_sown", 100)
    season.until(at(9))

    assert asked_about_the_test(season, sown) == [5, 6, 8, 9, 10]
    assert set(season.days()) >= {-6, -3, -1, 8}


def test_who_says_stop_gets_nothing_more(season: Season) -> None:
    season.until(at(-21, "12:00"))
    season.sms("STOP")

    assert season.until(at(9)) == []
    assert season.stored(ANN).session is None
