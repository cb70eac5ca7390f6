"""Round files: what each key means, and what is refused with its place and a way out."""

from __future__ import annotations

from datetime import time, timedelta

import pytest

from advisor.agronomy.errors import DataFault
from advisor.campaign.reading import read_round
from advisor.campaign.rounds import After, OnDay, Round, Step

LANGUAGES = ("en", "sw")
WHOLE = """
key = "seed-test"
[[steps]]
key = "ask"
from = "plot.sowing_day"
day = -21
at = 07:30:00
good_for_hours = 48
unless = ["lot.test", "lot.origin"]
times = 3
every_days = 2
text = { en = "Is it still that day?", sw = "Bado siku hiyo?" }
[[steps]]
key = "hello"
after_minutes = 0
good_for_hours = 1
text = { en = "Hello", sw = "Habari" }
"""


def faults(text: str) -> tuple[str, ...]:
    with pytest.raises(DataFault) as refused:
        read_round(text, LANGUAGES)
    return refused.value.faults


def test_every_key_is_read() -> None:
    ask, hello = (("en", "Is it still that day?"), ("sw", "Bado siku hiyo?")), (("en", "Hello"), ("sw", "Habari"))

    assert read_round(WHOLE, LANGUAGES) == Round(
        "seed-test",
        (
            Step(
                "ask",
                OnDay("plot.sowing_day", -21, time(7, 30)),
                timedelta(hours=48),
                ask,
                ("lot.test", "lot.origin"),
                times=3,
                every_days=2,
            ),
            Step("hello", After(0), timedelta(hours=1), hello),
        ),
    )


def test_facts_that_it_looks_at_are_named_once() -> None:
    found = read_round(WHOLE, LANGUAGES)

    assert found.anchors == ("plot.sowing_day",)
    assert found.conditions == ("lot.test", "lot.origin")


@pytest.mark.parametrize(
    ("there", "instead", "said"),
    [
        ('key = "seed-test"', 'key = "Seed test"', "key is 'Seed test': give 1 to 32 small letters"),
        ('key = "ask"', 'key = "ask.1"', "steps[1].key is 'ask.1'"),
        ('key = "hello"', 'key = "ask"', "steps has ask twice: give each a name of its own"),
        ("day = -21", "day = -367", "steps[1].day is -367: give a whole number from -366 to 366"),
        ("day = -21\n", "", "steps[1].day is missing"),
        ("at = 07:30:00", 'at = "07:30"', "steps[1].at is '07:30': give a time of day"),
        ("at = 07:30:00\n", "", "steps[1].at is missing"),
        ('from = "plot.sowing_day"\n', "", "steps[1].from is missing"),
        ("good_for_hours = 48", "good_for_hours = 0", "steps[1].good_for_hours is 0: give a whole number from 1"),
        ("unless = [", "unless = [1, ", "steps[1].unless is"),
        ("times = 3", "times = 61", "steps[1].times is 61: give a whole number from 1 to 60"),
        ("every_days = 2\n", "", "steps[1].every_days is missing"),
        ("times = 3\n", "", "steps[1].every_days is not known here"),
        (
            "good_for_hours = 1",
            'good_for_hours = 1\ninstead_of = ["ask"]',
            "steps has 'hello' instead of 'ask': name another step that comes once",
        ),
        (
            "good_for_hours = 1",
            'good_for_hours = 1\ninstead_of = ["hello"]',
            "steps has 'hello' instead of 'hello': name another",
        ),
        ("after_minutes = 0", "after_minutes = -1", "steps[2].after_minutes is -1"),
        ("after_minutes = 0", "after_minutes = 0\nday = 1", "steps[2].day is not known here"),
        ('sw = "Habari"', 'fr = "Bonjour"', "steps[2].text.sw is missing"),
        ('sw = "Habari"', 'sw = "Habari", fr = "Bonjour"', "steps[2].text.fr is not known here"),
        ('"Hello"', f'"{"a" * 160}"', "steps[2].text.en costs 160 of a page's 159: say it in fewer words"),
        ('"Hello"', f'"{"अ" * 71}"', "steps[2].text.en costs 71 of a page's 70"),
        ('"Hello"', '""', "steps[2].text.en has 0 characters"),
    ],
)
def test_what_cannot_be_is_told_at_its_place(there: str, instead: str, said: str) -> None:
    assert WHOLE.count(there) >= 1

    found = faults(WHOLE.replace(there, instead, 1))

    assert [fault for fault in found if fault.startswith(said)], found


@pytest.mark.parametrize("text", ["a" * 159, "अ" * 70])
def test_a_text_may_fill_its_page(text: str) -> None:
    assert read_round(WHOLE.replace("Hello", text), LANGUAGES).steps[1].text("en") == text


def test_everything_is_told_at_once() -> None:
    assert len(faults('key = "A"\n[[steps]]\n')) >= 4
    assert faults("key = ")[0].startswith("is no TOML")
    assert any("steps is missing" in fault for fault in faults('key = "a"'))
