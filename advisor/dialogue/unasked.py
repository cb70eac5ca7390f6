"""What the service says unasked: a screen that is opened for an answer by SMS, and a grower's own result.

A message of a round may ask something. What it asks is a screen of a flow, so that the answer is understood,
refused, read back and kept as on a call. It waits for two days, like every screen by SMS; a newer question takes
its place.
"""

from __future__ import annotations

from datetime import datetime

from advisor.dialogue.book import Book
from advisor.dialogue.erasing import called_by
from advisor.dialogue.one_line.answering import own_answer
from advisor.dialogue.showing import outcome
from advisor.dialogue.step import SMS_WAITS
from advisor.dialogue.talk import Session, Spot
from advisor.dialogue.walk import Walk
from advisor.dialogue.walk_errors import REFUSED, Missing
from advisor.records.grower import Grower
from advisor.records.several import TO_SOW, with_bag_to_sow
from advisor.wording.kinds import Day

BY_SMS = "sms"


def has_screen(book: Book, name: str) -> bool:
    """Whether there is a screen of that name, ``flow.screen``, which asks something."""
    spot = _spot(name)
    return book.has(spot) and book.screen(spot).ask is not None


def question(book: Book, known: Grower, name: str, now: datetime) -> Session | None:
    """The conversation of a grower to whom a screen is put by SMS.

    Args:
        book: the dialogues.
        known: what is known of the grower, who has agreed.
        name: the screen, ``flow.screen``.
        now: the moment.

    Returns:
        The session, None where that screen cannot be asked now: what it needs is not known, or the book lacks it.
    """
    spot = _spot(name)
    if not has_screen(book, name):
        return None
    walk = Walk(book, known, BY_SMS, now, None)
    walk.spots = list(called_by(book, (spot,)))
    try:
        walk.arrive(again=True)
    except (*REFUSED, Missing):
        return None
    return outcome(walk, now + SMS_WAITS).session if walk.spots[-1] == spot else None


def result(book: Book, known: Grower, keyword: str, now: datetime) -> str | None:
    """What a grower would get who sent a keyword alone; one message.

    Args:
        book: the dialogues.
        known: what is known of the grower.
        keyword: the key of the keyword.
        now: the moment.

    Returns:
        The message, None where too little is known, or the book lacks the keyword.
    """
    if keyword not in book.keywords:
        return None
    sown = with_bag_to_sow(known)
    walk = Walk(book, sown, BY_SMS, now, None)
    if sown.fact(TO_SOW) is None and len(walk.held.all_of("lot")) > 1:
        return None  # of several bags nobody said which is sown: she is told to call, and is asked then
    return own_answer(walk, keyword)


def said_day(book: Book, language: str, day: str) -> str:
    """A day as a language says it.

    Args:
        book: the dialogues.
        language: code of a language of the programme; another is taken for the first.
        day: the day as records keep it, ``2027-11-20``.
    """
    voice = book.voices.get(language) or book.voices[book.default_language]
    return voice.out(Day().words(day, voice))


def widest_day(book: Book, language: str) -> str:
    """The widest that a day can be in a language, for measuring a text that holds one."""
    voice = book.voices[language]
    return voice.out(Day().widest(voice))


def _spot(name: str) -> Spot:
    flow, _, screen = name.partition(".")
    return Spot(flow, screen)
