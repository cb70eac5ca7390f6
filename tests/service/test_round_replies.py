"""Replies to the seed-test round that the question on its message has no number for: another day, no, later."""

from __future__ import annotations

from datetime import timedelta

import pytest

from advisor.dialogue.talk import Spot
from tests.service.seed_round import S, Season, at, book


def asked(day: int, clock: str = "12:00", **facts: str) -> Season:
    """The round in time, on the day of one of its questions."""
    season = Season(at(-22))
    season.has(**facts)
    season.start()
    season.until(at(day, clock))
    return season


class TestIsTheDayStillThat:
    """S-21."""

    def test_another_day_moves_it_and_all_that_was_not_sent(self) -> None:
        season = asked(-21)
        told = season.sms("8/12")

        assert "You now sow on 8 Dec. The test moves with it." in told
        assert season.fact("plot.sowing") == (S + timedelta(days=7)).isoformat()
        season.until(at(-8))
        assert season.days() == [-21, -16 + 7]

    def test_no_asks_for_the_day(self) -> None:
        season = asked(-21)

        assert "On which day do you want to sow the field?" in season.sms("No")
        assert "You now sow on 8 Dec." in season.sms("8/12")
        assert season.fact("plot.sowing") == (S + timedelta(days=7)).isoformat()

    def test_the_seed_is_asked_in_the_same_answer(self) -> None:
        season = asked(-21)
        season.sms("8/12")
        season.sms("2")

        assert season.fact("lot.origin") == "saved"

    def test_a_day_that_was_mistyped_is_typed_once_more(self) -> None:
        season = asked(-21)
        season.sms("8/12")

        assert "You now sow on 9 Dec." in season.sms("9/12")

    def test_the_seed_alone_leaves_the_day(self) -> None:
        season = asked(-21)
        season.sms("2")

        assert (season.fact("plot.sowing"), season.fact("lot.origin")) == (S.isoformat(), "saved")

    def test_a_day_that_is_past_is_asked_again(self) -> None:
        season = asked(-21)
        season.sms("no")

        assert "You now sow" not in season.sms("1/11/2026")
        assert season.fact("plot.sowing") == S.isoformat()

    @pytest.mark.parametrize(("language", "no"), [("sw", "Hapana"), ("hi", "नहीं"), ("fr", "Non")])
    def test_no_is_understood_in_each_language(self, language: str, no: str) -> None:
        season = asked(-21, grower_language=language)
        season.sms(no)

        session = season.stored().session
        assert session is not None
        assert session.spots[-1] == Spot("seed_test", "new_day")


LATER = [
    ("en", "Later"),
    ("en", "not now"),
    ("sw", "Baadaye"),
    ("hi", "बाद में"),
    ("hi", "baad mein"),
    ("fr", "Plus tard"),
]


class TestLater:
    @pytest.mark.parametrize(("language", "word"), LATER)
    @pytest.mark.parametrize(("day", "clock"), [(-16, "18:00"), (-14, "12:00")])
    def test_is_understood_in_each_language(self, language: str, word: str, day: int, clock: str) -> None:
        season = asked(day, clock, grower_language=language)
        season.sms(word)

        session = season.stored().session
        assert season.fact("lot.put_off") is not None
        assert session is not None
        assert session.spots[-1] == Spot("seed_test", "put_off")

    def test_moves_what_is_still_to_come_by_two_days(self) -> None:
        season = asked(-16, "18:00")
        assert "Good, later." in season.sms("later")
        season.until(at(-9))

        assert season.days() == [-21, -16, -12, -10]

    def test_said_again_is_told_that_the_last_day_counts_and_moves_nothing(self) -> None:
        season = asked(-16, "18:00")
        season.sms("later")
        season.until(at(-12, "12:00"))

        assert "Now only the last good day counts." in season.sms("Later.")
        season.until(at(-9))
        assert season.days() == [-21, -16, -12, -10]

    def test_by_number_counts_as_the_same_word(self) -> None:
        season = asked(-16, "18:00")
        season.sms("later")
        season.until(at(-12, "12:00"))

        assert "Now only the last good day counts." in season.sms("3")

    @pytest.mark.parametrize("day", [-10, -9])
    def test_on_the_last_good_day_is_told_so_also_the_first_time(self, day: int) -> None:
        season = asked(-10)
        season.until(at(day, "12:00"))

        assert "You cannot put it off again." in season.sms("later")
        assert season.fact("lot.put_off") is None

    def test_of_who_then_sows_is_done_with(self) -> None:
        season = asked(-16, "18:00")
        season.sms("later")
        season.until(at(-12, "12:00"))
        season.sms("later")
        season.sms("1")
        season.sms("today")

        assert season.fact("lot.test_day") == at(-12).date().isoformat()

    def test_where_nothing_takes_it_is_no_answer(self) -> None:
        season = asked(-21)
        season.sms("2")
        before = season.stored().session
        season.sms("later")

        after = season.stored().session
        assert before is not None
        assert after is not None
        assert after.spots == before.spots


def test_every_language_has_a_word_for_it() -> None:
    assert all(voice.glossary.word("later") for voice in book().voices.values())


class TestAChoiceWithItsWords:
    @pytest.mark.parametrize(("typed", "origin"), [("1 bought", "bought"), ("2 my own", "saved")])
    def test_is_taken_as_the_message_asked_for_it(self, typed: str, origin: str) -> None:
        season = asked(-21)
        season.sms(typed)

        assert season.fact("lot.origin") == origin
