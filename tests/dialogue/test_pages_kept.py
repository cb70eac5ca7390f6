"""Pages that follow from the values they name are made once: what is kept is what would be made."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from advisor.dialogue import showing
from advisor.dialogue.step import step
from advisor.dialogue.talk import Event, EventKind
from tests.dialogue.talker import MORNING, Talker

KEYS = ("1", "2", "3", "4", "5", "8", "9", "0", "00", "99", "45", "50", "2.5", "?")


@pytest.mark.parametrize("language", ["1", "2", "3", "4"])
def test_a_page_that_was_kept_is_the_page_that_would_be_made(book, language):
    warm, cold, chance = replace(book), replace(book), Random(language)

    for _ in range(2):  # of the second walk most pages are kept
        talker = Talker(warm)
        talker.dial()
        talker.type(language)
        for _ in range(250):
            event = Event(EventKind.ANSWER, chance.choice(KEYS), f"ussd:call-{talker.calls}", "m")
            if talker.session is None:
                talker.dial()
                continue
            cold.pages.clear()
            made = step(cold, talker.session, talker.grower, event, MORNING)
            assert step(warm, talker.session, talker.grower, event, MORNING) == made
            talker.type(event.text)
    assert len(warm.pages) > 20
    assert len(cold.pages) <= 2


def test_a_list_of_the_growers_own_is_never_kept_and_behind_the_pin_nothing_known_of_anybody(book):
    names = {f"{spot.flow}.{spot.screen}": said for spot, said in book.says.items()}

    assert {"welcome.consent", "welcome.menu", "welcome.where", "seed_test.how_many"} <= names.keys()
    assert {"final_on", "look_on"} & set(names["seed_test.waiting"])
    assert not {"which_bag.which", "which_field.which"} & names.keys()
    assert not any(said for spot, said in book.says.items() if spot.flow in book.behind_a_pin)


def test_no_more_pages_are_kept_than_there_is_room_for(book, monkeypatch):
    monkeypatch.setattr(showing, "MOST_PAGES", 3)
    talker = Talker(replace(book))
    talker.dial()
    for typed in ("1", "1", "1", "00", "2", "0", "3", "0"):
        talker.type(typed)
        assert len(talker.book.pages) <= 3
