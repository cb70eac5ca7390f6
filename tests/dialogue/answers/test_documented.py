"""The authors' page says what growers may type; it is so on the fourth of March 2027."""

import re
from pathlib import Path

from tests.dialogue.answers.typing import AREA, COUNT, LANGUAGES, MONEY, SEASON, STEPS, read

PAGE = (Path(__file__).parents[3] / "flows" / "README.md").read_text("utf-8")
ASKS = {"a number": STEPS, "an area": AREA, "a count of a count": COUNT, "money": MONEY, "a date": SEASON}


def rows():
    table = PAGE.split("## What growers may type")[1].split("\n## ")[0]
    return {
        what: cells for what, *cells in re.findall(r"^\| ([a-z ]+) \| (`.*) \| (`.*) \|$", table, re.MULTILINE)
    }


def test_what_it_says_is_read_is_read_in_a_language_and_what_is_asked_again_in_none(book):
    assert rows().keys() == ASKS.keys()
    for what, (good, bad) in rows().items():
        answers = {
            typed: [str(read(book, typed, ASKS[what], language)) for language in LANGUAGES]
            for typed in re.findall("`([^`]+)`", good + bad)
        }
        for typed in re.findall("`([^`]+)`", good):
            assert not all(answer.startswith("- ") for answer in answers[typed]), typed
        for typed in re.findall("`([^`]+)`", bad):
            assert all(answer.startswith("- ") for answer in answers[typed]), typed
