"""From where a walk stands to the page on the phone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from advisor.dialogue.book import Book
from advisor.dialogue.flows import Screen
from advisor.dialogue.notices import notice_of
from advisor.dialogue.screens import Layout, footer, lines, page_text
from advisor.dialogue.talk import Outcome, Reply, Send, Session, Spot
from advisor.dialogue.walk import Walk
from advisor.dialogue.walk_errors import REFUSED, Missing
from advisor.wording.segments import answer_room, cost
from advisor.wording.voice import Voice

#: So many finished pages are kept before all are made anew.
MOST_PAGES = 4096


def outcome(walk: Walk, until: datetime) -> Outcome:
    """What the step decides, with the page that is shown.

    Args:
        walk: where the conversation stands after this message.
        until: when its session lapses.
    """
    try:
        shown = _page(walk)
    except REFUSED as error:
        walk.fall_to_menu(notice_of(error))
        shown = _page(walk)
    except Missing as missing:
        walk.ask_for(missing.name)
        shown = _page(walk)
    if walk.ended:
        return Outcome(None, Reply(shown, open=False), walk.held.effects)
    session = Session(
        spots=tuple(walk.spots),
        via=walk.via,
        asks=walk.asks(),
        page=walk.page,
        notice=walk.notice,
        trail=tuple(walk.trail),
        answers=tuple(sorted(walk.held.answers.items())),
        learnt=walk.held.learnt,
        language=walk.held.language,
        place=walk.place,
        until=until,
    )
    return Outcome(session, Reply(shown, open=True), walk.held.effects)


def has_next_page(walk: Walk) -> bool:
    """Whether the page on screen is not the last."""
    return walk.page + 1 < len(_layout(walk).pages)


def is_brief(walk: Walk) -> bool:
    """Whether a line above the choices stands in the place of the screen's own text."""
    spot, language, headed = walk.spots[-1], walk.held.language, bool(walk.head(walk.screen))
    notice = walk.notice if walk.book.has_room(spot, language, walk.notice, headed=headed) else ""
    return walk.book.layout(spot, language, notice, walk.count_of_own(walk.screen), headed=headed).brief


def turn_page(walk: Walk, by: int = 1) -> None:
    """Shows another page of the same screen.

    Args:
        walk: where the conversation stands.
        by: 1 for the next page, -1 for the one before.
    """
    page, notice = walk.page, walk.notice
    walk.show_again(notice)
    walk.page = page + by


def pages_ahead(walk: Walk, number: int) -> int:
    """How many pages behind the one on show a choice stands, 0 where it has been shown.

    Args:
        walk: where the conversation stands, on a screen with choices, which are its last lines.
        number: the choice, from 0.
    """
    pages, ask = _layout(walk).pages, walk.screen.ask
    line = pages[-1][1] - len(ask.choices if ask else ()) + number
    return max(0, next(page for page, (_, end) in enumerate(pages) if line < end) - walk.page)


def texts_to_send(walk: Walk, name: str) -> Send:
    """The pages of a screen of this flow as SMS, worked out from what is known now.

    Args:
        walk: where the conversation stands.
        name: the screen that holds the text.
    """
    spot = Spot(walk.spots[-1].flow, name)
    screen = walk.book.screen(spot)
    head = walk.head(screen)
    layout = walk.book.layout(spot, walk.held.language, "", headed=bool(head))
    shown = _lines(walk, spot, screen, "", walk.worked_out(screen), head=head)
    first_to_end = [shown[first:end] for first, end in layout.pages]
    return Send(f"{spot.flow}.{name}", tuple(walk.voice_of(spot).out("\n".join(page)) for page in first_to_end))


def whole_text(walk: Walk) -> str:
    """The screen on show as one message, without footers, for a screen that asks nothing.

    What is in hand is named above it where there is room, which lacks at the widest values alone.
    """
    screen, head, voice = walk.screen, walk.head(walk.screen), walk.voice
    said = voice.out("\n".join(_lines(walk, walk.spots[-1], screen, "", walk.results)))
    headed = voice.out(f"{head}\n{said}") if head else said
    fits = cost(headed, voice.alphabet) <= answer_room(voice.alphabet, walk.book.programme.answer_segments)
    return headed if fits else said


def _layout(walk: Walk) -> Layout:
    screen = walk.screen
    own, headed = walk.count_of_own(screen), bool(walk.head(screen))
    return walk.book.layout(walk.spots[-1], walk.held.language, walk.notice, own, headed=headed)


def _page(walk: Walk) -> str:
    book, spot, language, screen = walk.book, walk.spots[-1], walk.held.language, walk.screen
    head, can_go_back = walk.head(screen), bool(walk.trail)
    names = None if walk.notice else book.says.get(spot)
    values = tuple(map(walk.sight().get, names)) if names else ()
    alike = (spot, language, head, walk.page, can_go_back, values)
    if names is not None and (kept := book.pages.get(alike)) is not None:
        text, walk.page = kept
        return text
    if walk.notice and not book.has_room(spot, language, walk.notice, headed=bool(head)):
        walk.notice = ""
    layout = book.layout(spot, language, walk.notice, walk.count_of_own(screen), headed=bool(head))
    walk.page = min(walk.page, len(layout.pages) - 1)
    notice = book.notice_text(walk.notice, spot, language, walk.now)
    shown = _lines(walk, spot, screen, notice, walk.results, brief=layout.brief, head=head)
    voice = book.voice(spot, language)
    text = page_text(shown, layout, walk.page, footer(screen, voice, can_go_back=can_go_back), voice)
    if names is not None:
        if len(book.pages) >= MOST_PAGES:
            book.pages.clear()
        book.pages[alike] = text, walk.page
    return text


def _lines(
    walk: Walk,
    spot: Spot,
    screen: Screen,
    notice: str,
    results: dict[str, object],
    *,
    brief: bool = False,
    head: str = "",
) -> list[str]:
    entries = walk.entries(spot, screen)
    sight = walk.sight() if results is walk.results else {**walk.sight(), **results}
    count = None
    if screen.say and screen.say.count:
        counted = sight.get(screen.say.count)
        if not isinstance(counted, int):
            raise Missing(screen.say.count)
        count = counted
    voice = walk.voice_of(spot)
    return lines(
        f"{spot.flow}.{spot.screen}",
        screen,
        voice,
        entries,
        _words(walk.book, spot.flow, voice, sight),
        notice,
        count,
        brief=brief,
        head=head,
    )


def _words(book: Book, flow: str, voice: Voice, sight: dict[str, object]) -> Callable[[str], str]:
    def words(name: str) -> str:
        if name not in sight:
            raise Missing(name)
        return book.kind(flow, name).words(sight[name], voice)

    return words
