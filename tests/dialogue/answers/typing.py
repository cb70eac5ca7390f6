"""What a person types on one screen, for the tests of this room."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from advisor.dialogue.answers import tidy, understand
from advisor.dialogue.flows import Ask, AskKind, Choice

LANGUAGES = ("en", "sw", "hi", "fr")
#: A Thursday.
TODAY = date(2027, 3, 4)

AREA = Ask(AskKind.AREA)
COUNT = Ask(AskKind.COUNT_OF, high=Decimal(400))
STEPS = Ask(AskKind.NUMBER, low=Decimal(2), high=Decimal(2000))
PARTS = Ask(AskKind.NUMBER, low=Decimal(0), high=Decimal(10**6), decimals=2)
MONEY = Ask(AskKind.MONEY)
TWO = Ask(
    AskKind.CHOICE,
    choices=tuple(
        Choice(say, value, (), False, "", (), False, 1) for say, value in (("Yes", "yes"), ("No", "no"))
    ),
)


def date_between(first: int, last: int) -> Ask:
    """A question for a date, its bounds in days from today."""
    return Ask(AskKind.DATE, low=Decimal(first), high=Decimal(last))


SEASON = date_between(-60, 120)
ANY = (AREA, COUNT, STEPS, PARTS, MONEY, TWO, SEASON)


def taken(book, typed, ask, language="en", today=TODAY):
    """What an answer is taken for."""
    return understand(tidy(typed), ask, book.voices[language], book.registry, today)


def read(book, typed, ask, language="en", today=TODAY):
    """The value of an answer, or the name of the slip behind a dash."""
    answer = taken(book, typed, ask, language, today)
    return getattr(answer, "value", None) if hasattr(answer, "value") else f"- {answer.notice}"
