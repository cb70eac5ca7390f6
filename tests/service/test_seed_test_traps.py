"""What goes wrong with counts by phone, each trap by its name: the seed-test round, 50 seeds sown, answers by SMS.

`flows/README.md`, "Counts that mislead", lists each with its test.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from advisor.dialogue.talk import Spot
from tests.service.seed_round import Season, at

LOOK, FINAL = Spot("seed_test", "early_look"), Spot("seed_test", "final_count")
#: The test was sown on S-15, so this is T+8.
COUNTING = at(-7, "09:00")
#: Read back in each language.
READ_BACK = {
    "en": "45 of 50: right?",
    "sw": "45 kati ya 50: ni sawa?",
    "hi": "50 में से 45: सही?",
    "fr": "45 sur 50: juste?",
}


def asked(at_day: int, language: str = "en", **facts: int | str) -> Season:
    """A grower with a test of 50 seeds under way, to whom the round has just put its question of that day."""
    season = Season(at(at_day, "07:00"))
    season.has(grower_language=language, lot_origin="saved", lot_method="bed", lot_test_sown=50, **facts)
    season.has_learnt("lot.test_day", at(-15).date().isoformat())
    season.start()
    season.until(at(at_day, "09:00"))
    return season


@pytest.fixture
def counting() -> Season:
    found = asked(-7)
    assert screen(found) == FINAL
    return found


def screen(season: Season) -> Spot | None:
    session = season.stored().session
    return None if session is None else session.spots[-1]


def test_45_when_50_were_sown_is_45_of_50_and_read_back_before_it_counts(counting: Season) -> None:
    assert READ_BACK["en"] in counting.sms("45")
    assert counting.fact("lot.test") is None

    assert "45 of 50 grew: good seed" in counting.sms("1")
    assert counting.fact("lot.test") == (45, 50)


def test_a_count_that_is_not_right_when_read_back_is_not_kept(counting: Season) -> None:
    counting.sms("54/100")
    counting.sms("2")

    assert (screen(counting), counting.fact("lot.test")) == (FINAL, None)


@pytest.mark.parametrize(
    ("language", "yes", "no"),
    [("en", "Yes", "no"), ("sw", "ndio", "hapana"), ("hi", "हाँ", "नहीं"), ("fr", "oui", "non")],
)
def test_what_is_read_back_can_be_answered_in_words(language: str, yes: str, no: str) -> None:
    counting = asked(-7, language)
    counting.sms("45")
    counting.sms(no)
    assert (screen(counting), counting.fact("lot.test")) == (FINAL, None)

    counting.sms("45")
    counting.sms(yes)
    assert counting.fact("lot.test") == (45, 50)


@pytest.mark.parametrize("typed", ["90", "90 of 50", "90/50", "90%", "90 percent"])
def test_90_of_50_is_asked_again_and_never_taken_as_a_percent(counting: Season, typed: str) -> None:
    counting.sms(typed)

    assert (screen(counting), counting.fact("lot.test")) == (FINAL, None)


@pytest.mark.parametrize(
    ("language", "typed"),
    [
        *((language, "45/50") for language in READ_BACK),
        *((language, "45 of 50") for language in READ_BACK),
        ("sw", "45 kati ya 50"),
        ("hi", "50 में से 45"),
        ("fr", "45 sur 50"),
    ],
)
def test_45_of_50_is_taken_in_each_language(language: str, typed: str) -> None:
    assert READ_BACK[language] in asked(-7, language).sms(typed)


@pytest.mark.parametrize("typed", ["50 45", "50/45", "50 of 45"])
def test_50_45_is_asked_again_and_not_turned_round(counting: Season, typed: str) -> None:
    counting.sms(typed)

    assert (screen(counting), counting.fact("lot.test")) == (FINAL, None)


@pytest.mark.parametrize("typed", ["5 died", "5 dead", "5 did not grow", "5 did not come up"])
def test_what_died_is_not_taken_for_what_grew(counting: Season, typed: str) -> None:
    said = counting.sms(typed)

    assert (screen(counting), counting.fact("lot.test")) == (FINAL, None)
    assert "Type both numbers, like 45 of 50." in said
    assert not counting.stored().record.questions


@pytest.mark.parametrize("typed", ["most", "most of them", "many", "nearly all"])
def test_most_is_no_count(counting: Season, typed: str) -> None:
    counting.sms(typed)

    assert (screen(counting), counting.fact("lot.test")) == (FINAL, None)


@pytest.mark.parametrize("typed", ["0", "none", "nothing grew"])
def test_nothing_grown_is_a_count_of_0_and_not_the_way_back(counting: Season, typed: str) -> None:
    assert "0 of 50: right?" in counting.sms(typed)
    counting.sms("1")

    assert counting.fact("lot.test") == (0, 50)


def test_nothing_up_at_the_first_look_is_kept_as_0() -> None:
    season = asked(-10)
    assert screen(season) == LOOK
    season.sms("0")

    assert season.fact("lot.early") == 0


def test_where_0_is_a_count_the_keys_for_back_and_menu_have_one_zero_more(counting: Season) -> None:
    counting.sms("00")
    assert screen(counting) == FINAL  # nothing is behind a question of a round

    counting.sms("000")
    assert (screen(counting), counting.fact("lot.test")) == (Spot("welcome", "menu"), None)


@pytest.mark.parametrize("choice", ["2", "3"])
def test_a_final_count_under_the_first_look_is_asked_about_and_never_averaged(choice: str) -> None:
    season = asked(-7, lot_early=40)
    assert "40 at the first look, now only 30" in season.sms("30")
    assert season.fact("lot.test") is None

    assert "30 of 50: right?" in season.sms(choice)
    season.sms("1")
    assert season.fact("lot.test") == (30, 50)


def test_an_answer_belongs_to_the_question_that_is_open() -> None:
    season = asked(-10)
    assert screen(season) == LOOK
    season.until(COUNTING)
    season.sms("45")

    assert (screen(season), season.fact("lot.early")) == (Spot("seed_test", "read_back"), None)


@pytest.mark.parametrize(("minutes", "is_taken"), [(-2, True), (2, False)])
def test_a_question_closes_after_48_hours(minutes: int, is_taken: bool) -> None:
    season = asked(-10)  # the question came at nine
    season.clock.at = at(-8, "09:00") + timedelta(minutes=minutes)
    season.sms("30")

    assert (season.fact("lot.early") == 30) is is_taken
