"""What was proven, in a few lines: how wide the pages of each language get, and the widest text of a screen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.dialogue.book import Book
from advisor.dialogue.checks.laying import CHANNELS
from advisor.dialogue.checks.report import quoted
from advisor.dialogue.screens import Layout
from advisor.dialogue.talk import Spot
from advisor.wording.segments import ROOM, answer_room


@dataclass(frozen=True, slots=True)
class WidestPage:
    """The widest page of one screen in one language, over all lines that can stand above it.

    Args:
        spot: the screen.
        notice: name of the line above, empty for none.
        page: which page, from 0.
        text: the text itself.
        cost: its septets or UTF-16 units.
    """

    spot: Spot
    notice: str
    page: int
    text: str
    cost: int


def proofs(book: Book) -> int:
    """How many pages were proven: each screen, language, line above and page, as USSD screen and as SMS.

    An answer to an SMS in one line is one SMS only.
    """
    return CHANNELS * sum(len(found.pages) for found in book.layouts.values()) + len(book.answers)


def overview(book: Book) -> Iterator[str]:
    """A table with a line for each language.

    Args:
        book: a proven book.
    """
    yield f"{'language':<10}{'pages':>5}  {'widest page':<14}{'of screen':<30}{'several pages':>14}"
    for language in book.voices:
        plain = [found for (_, spoken, notice), found in book.layouts.items() if spoken == language and not notice]
        screens = [spot for spot in _shown(book) if (spot, language) not in book.answers]
        pages_of_all = (widest_page(book, spot, language) for spot in screens)
        widest = max(pages_of_all, key=lambda page: page.cost / _room(book, page.spot, language))
        room = f"{widest.cost} of {_room(book, widest.spot, language)}"
        several = sum(len(found.pages) > 1 for found in plain)
        pages = sum(len(found.pages) for found in plain)
        yield f"{language:<10}{pages:>5}  {room:<14}{_name(widest.spot):<30}{several:>6} screens"


def _name(spot: Spot) -> str:
    return f"{spot.flow}.{spot.screen}"


def _room(book: Book, spot: Spot, language: str) -> int:
    """What a page may cost, in the alphabet that it is sent in: a draft may still be said in English."""
    voice = book.voice(spot, language)
    if (spot, language) in book.answers:
        return answer_room(voice.alphabet, book.programme.answer_segments)
    return ROOM[voice.alphabet]


def widest_page(book: Book, spot: Spot, language: str) -> WidestPage:
    """The widest page of a screen in a language."""
    pages = [
        WidestPage(spot, notice, page, text, cost)
        for notice, found in _under_each_notice(book, spot, language)
        for page, (text, cost) in enumerate(zip(found.widest, found.costs, strict=True))
    ]
    return max(pages, key=lambda page: page.cost)


def widest_texts(book: Book, spot: Spot) -> Iterator[str]:
    """Each page of a screen at its widest, in each language, and the widest page under a line of its own.

    Args:
        book: a proven book.
        spot: a screen that says something.
    """
    for language in book.voices:
        room = _room(book, spot, language)
        plain = dict(_under_each_notice(book, spot, language))[""]
        for page, (text, cost) in enumerate(zip(plain.widest, plain.costs, strict=True), 1):
            yield f"{language}, page {page} of {len(plain.pages)}: {cost} of {room}"
            yield from (f"    {line}" for line in text.split("\n"))
        widest = widest_page(book, spot, language)
        if widest.notice:
            yield f"{language}, widest under the line '{widest.notice}': {widest.cost} of {room}"
            yield f"    {quoted(widest.text)}"


def widest_of_all(book: Book) -> Iterator[str]:
    """The widest page of each screen in each language, the widest first."""
    for language in book.voices:
        pages = [widest_page(book, spot, language) for spot in _shown(book)]
        yield language
        for page in sorted(pages, key=lambda page: -page.cost):
            yield f"  {page.cost:>3} of {_room(book, page.spot, language):>3}  {_name(page.spot)}"
            yield f"       {quoted(page.text)}"


def _shown(book: Book) -> list[Spot]:
    return [spot for spot in book.screens if spot in book.questions]


def _under_each_notice(book: Book, spot: Spot, language: str) -> list[tuple[str, Layout]]:
    if (spot, language) in book.answers:
        return [("", book.answers[spot, language])]
    return [
        (notice, found)
        for (where, spoken, notice), found in book.layouts.items()
        if where == spot and spoken == language
    ]
