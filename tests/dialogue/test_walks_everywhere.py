"""Walks over every dialogue of the season, in every language: from each screen one comes back and to the menu.

The walks are drawn by a fixed seed, so that a failure comes again. ``test_walks.py`` types what no grower would.
"""

from __future__ import annotations

from copy import copy
from datetime import UTC, datetime
from random import Random

import pytest

from advisor.dialogue.flows import AskKind
from advisor.wording.segments import ROOM, cost
from tests.dialogue.shipped import FLOWS
from tests.dialogue.talker import Talker

LANGUAGES = {"en": "1", "sw": "2", "hi": "3", "fr": "4"}
MENU = "welcome.menu"
#: Walks a language, answers of one dialogue, and screens that so many walks come to at least.
ROUNDS, DEEP, ENOUGH = 110, 12, 240
#: Each way of the menus, so that a walk begins in any dialogue.
WAYS = [
    ("1",),
    ("2",),
    *(("3", str(way)) for way in (1, 2, 3)),
    *(("4", str(way)) for way in (1, 2, 3, 4)),
    *(("5", str(way)) for way in (1, 2, 3, 4)),
    *(("6", str(way)) for way in (1, 2, 3)),
    *(("7", str(way)) for way in (1, 2)),
    *(("8", str(way)) for way in (1, 2, 5, 6)),
]
#: What only the agents of the programme come to.
NOT_FOR_GROWERS = {"agent_rain", "agent_visits", "agent_work"}
LIKELY = {
    AskKind.NUMBER: ("2", "3", "10", "25", "45", "60", "100", "2 kg", "sixty", "0"),
    AskKind.AREA: ("2.5", "1", "2 ha", "0.4", "0", "half an acre"),
    AskKind.COUNT_OF: ("45 of 50", "20 of 50", "90/100", "30", "0"),
    AskKind.MONEY: ("2000", "500", "50,000", "2k", "0"),
    AskKind.DATE: ("today", "1/11", "30/11", "20/12", "5/1", "yesterday", "3 days ago"),
    AskKind.TEXT: ("My leaves are pale", "When does the rain come?"),
}
ODD = ("?", "9", "zzz", "😀" * 40, "\x00\x07\x1b", "-1", "١٢", "½", "%(area)s", "", "7" * 100_000)


def likely(talker: Talker, draw: Random) -> str:
    ask = talker.book.screen(talker.session.spots[-1]).ask
    if ask is None or draw.random() < 0.1:
        return draw.choice(ODD)
    if ask.kind is AskKind.CHOICE:
        return str(draw.randint(1, len(ask.choices)))
    return draw.choice(LIKELY[ask.kind]) if ask.kind in LIKELY else str(draw.randint(0, 4))


def check_page(talker: Talker) -> None:
    page = talker.reply.text
    alphabet = talker.book.voices[talker.session.language].alphabet
    assert page.strip(), talker.spot
    assert cost(page, alphabet) <= ROOM[alphabet], talker.spot


def has_seen_the_menu(talker: Talker) -> bool:
    return talker.spot == MENU or any(str(spots[-1].screen) == "menu" for spots in talker.session.trail)


def check_ways_out(talker: Talker) -> None:
    """The keys that the last page names: one leads to another page, the other to the menu."""
    other = copy(talker)
    for _ in range(3):
        if not other.reply.text.splitlines()[-1].startswith("9 "):
            break
        other.type("9")
    last = other.reply.text.splitlines()[-1].split(" ")[0]
    if last not in {"0", "00"}:
        assert not other.session.trail, f"{talker.spot}: no way back is named"
        return
    here = other.reply.text
    there = copy(other)
    there.type(last)
    check_page(there)
    assert there.reply.text != here, f"{talker.spot}: {last} leads nowhere"
    other.type("0" + last)
    check_page(other)
    if has_seen_the_menu(talker):
        assert other.spot == MENU, f"{talker.spot}: 0{last} does not lead to the menu"


def began(book, language: str, draw: Random) -> Talker:
    talker = Talker(book, datetime(2026, 11, draw.randint(1, 28), 7, tzinfo=UTC))
    talker.dial()
    talker.type(LANGUAGES[language], draw.choice("1112"), str(draw.randint(1, 6)))
    return talker


def several(talker: Talker) -> None:
    """Another field and another bag of seed, with what each has told."""
    talker.type("00", "1", "2.5", "1", "00", "8", "2", "3", "1", "1.25", "00")
    today = f"{talker.now.day}/{talker.now.month}"
    talker.type("3", "1", "1", "1", "1", "1", "1", today, "100", "3", "1", "1", "2", "00")


@pytest.mark.parametrize("language", LANGUAGES)
def test_from_every_screen_one_comes_back_and_to_the_menu(book, language):
    draw = Random(f"walks in {language}")
    seen: set[str] = set()
    for number in range(ROUNDS):
        talker = began(book, language, draw)
        if number % 3 == 0 and talker.grower.agreed:
            several(talker)
        if number % 2 == 0:
            talker.type("00", "2", "1", "30/11", "00")  # a day to sow
        for way in draw.sample(WAYS, 3):
            if talker.session is None or draw.random() < 0.2:
                talker.wait(days=draw.choice((1, 9, 40, 120))).dial()
            talker.type("00" if talker.spot != MENU else "?", *way)
            for _ in range(DEEP):
                if talker.session is None:
                    break
                check_page(talker)
                if talker.spot not in seen:
                    seen.add(talker.spot)
                    check_ways_out(talker)
                talker.type(likely(talker, draw))
    reached = {spot.split(".")[0] for spot in seen}
    assert set(FLOWS) - NOT_FOR_GROWERS - reached == set()
    assert len(seen) > ENOUGH
