"""Pages that hold nothing of whoever reads them are made once: what is kept is what would be made."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

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


def test_what_is_worked_out_or_known_of_a_grower_is_never_kept(book):
    names = {f"{spot.flow}.{spot.screen}" for spot in book.alike}

    assert {"welcome.consent", "welcome.menu", "welcome.where", "seed_test.how_many"} <= names
    assert not {"seed_test.read_back", "which_bag.which", "seed_test.looked_early"} & names
