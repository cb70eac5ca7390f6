"""A thousand growers through a hundred and eighty days; what must hold each day, and that it could fail."""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import suppress

import pytest

from advisor.dialogue.book import Book
from advisor.loading import load_book
from tests.season.course import Course
from tests.season.plan import Plan, Played
from tests.season.planted import FAULTS, planted
from tests.season.planted_rain import FAULTS_OF_RAIN
from tests.season.sent_rounds import all_rounds, rain_rounds, rounds_of_days

STEPS = (
    *(f"seed_test {step}" for step in (
        "season", "sort", "late", "too_late", "remind", "last", "early", "early_again", "final", "final_again",
        "list", "buy_by", "pick_up", "rain", "stand",
    )),
    "buy_inputs list", "buy_inputs once_more", "pick_up fetch", "follow_up sown", "follow_up stand", "nodules dig",
    "harvest ripe", "harvest keep", "sow_now sow", "false_start sown", "false_start wait",
)  # fmt: skip


@pytest.fixture(scope="module")
def book() -> Book:
    return load_book()


@pytest.fixture(scope="module")
def season(book: Book) -> Played:
    return Course(book, Plan(1000, rounds=all_rounds())).play()


def test_a_thousand_growers_lose_nothing_and_are_told_nothing_twice(season: Played) -> None:
    assert season.faults == []


def test_everything_that_growers_do_happens_in_a_season(season: Played) -> None:
    wanted = (
        "put on the list", "ussd conversations", "sms conversations", "messages brought twice", "tests put out",
        "first looks", "counted", "said stop", "said start", "erased", "consent taken back", "agreed again",
        "kept out of the list", "calls of agents", "recorded sown", "recorded first", "recorded last",
        "recorded field", "told what was recorded", "not in care", "PINs locked", "PINs unlocked", "gauges read",
        "phones changed",
        "seen good", "seen weak", "seen poor", "seen very_poor", "seen dead", "seen take_back", "seen too_late",
        "answers by SMS", "answers too late", "answered at once", "more than sown, asked again",
        "fewer than before, asked about", "languages changed", "counted on a shared phone", "second bags counted",
        "verdicts of second bags", "verdicts compared", "readings put right", "agents told of rain",
        *(f"step {step}" for step in STEPS),
    )  # fmt: skip
    assert {name for name in wanted if season.happened[name] < 3} == set()


def test_rain_begins_breaks_off_and_begins_again_and_nearly_all_hear_of_it_on_the_same_day(season: Played) -> None:
    happened = season.happened
    assert (happened["rain began"], happened["rain broke off"]) >= (3, 1)
    assert happened["agents told of a late start"] >= 2
    assert happened["told at once of rain"] > 10 * happened["told later of rain"]


@pytest.mark.parametrize("hashes", ["1", "2"])
def test_the_same_seed_gives_the_same_log_in_another_process(book: Book, hashes: str) -> None:
    here = Course(book, Plan(60, seed=7, rounds=all_rounds())).play()
    command = (sys.executable, "-m", "tests.season", "--growers", "60", "--seed", "7")
    told = subprocess.run(
        command, env=os.environ | {"PYTHONHASHSEED": hashes}, capture_output=True, text=True, check=True
    )
    assert f"log {here.digest}" in told.stdout


def test_another_seed_gives_another_log(book: Book) -> None:
    first, other = (Course(book, Plan(20, seed, 40, all_rounds())).play().digest for seed in (1, 2))
    assert first != other


class Enough(Exception):  # noqa: N818 - named for what it says
    """What was looked for is found, and the rest of the season need not be played."""


def finds(book: Book, fault, what: str, plan: Plan) -> bool:
    """Whether the checks find a fault of a kind while it is planted."""

    def found(_day: int) -> None:
        if any(one.what == what for one in course.checks.faults):
            raise Enough

    course = Course(book, plan, found)
    with planted(fault, course.world), suppress(Enough):
        course.play()
    return what in {one.what for one in course.checks.faults}


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.__name__)
def test_the_checks_find_a_planted_fault(book: Book, fault) -> None:
    assert finds(book, fault, FAULTS[fault], Plan(150, days=100, rounds=rounds_of_days()))


@pytest.mark.parametrize("fault", FAULTS_OF_RAIN, ids=lambda fault: fault.__name__)
def test_the_checks_find_a_planted_fault_of_what_hangs_on_rain(book: Book, fault) -> None:
    assert finds(book, fault, FAULTS_OF_RAIN[fault], Plan(300, days=116, rounds=rain_rounds()))
