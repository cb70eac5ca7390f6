"""The widest page that is claimed is really produced: by a legal value for each name that the text has.

So a bound that is too generous cannot pass: it would claim a page that no values make.
"""

from datetime import date, timedelta

import pytest

from advisor.dialogue.flows import AskKind
from advisor.dialogue.notices import notice_text
from advisor.dialogue.screens import footer, lines, page_text
from advisor.wording.kinds import Whole
from advisor.wording.segments import cost
from tests.dialogue.planting import languages


@pytest.fixture(scope="module")
def real(book):
    """All pages of a screen in a language under a notice, made of witnesses, one for each plural form."""

    def pages(spot, language, layout, above):
        screen, voice = book.screen(spot), book.voices[language]
        entries = book.registry.entries(screen.ask.source) if screen.ask and screen.ask.source else ()
        below = footer(screen, voice, can_go_back=True) if (spot, language) not in book.answers else ""
        made = [set() for _ in layout.pages]
        for count in _counts(book, spot, screen, voice):

            def words(name, count=count):
                kind = book.kind(spot.flow, name)
                value = count if count is not None and name == screen.say.count else kind.witness(voice)
                kind.check(value)
                return kind.words(value, voice)

            context = f"{spot.flow}.{spot.screen}"
            shown = lines(context, screen, voice, entries, words, above, count, brief=layout.brief)
            for page in range(len(layout.pages)):
                made[page].add(page_text(shown, layout, page, below, voice))
        return made

    return pages


def _counts(book, spot, screen, voice):
    """A count for each plural form that the counted value can take, None where nothing is counted."""
    if not screen.say.other:
        return [None]
    kind = book.kind(spot.flow, screen.say.count)
    assert isinstance(kind, Whole)
    return [count for _, count in kind.witnesses(voice)]


def _days(screen):
    """Days on which a line above may name other days: of a question for a date every day of a leap year."""
    if screen.ask is None or screen.ask.kind is not AskKind.DATE:
        return [date(2028, 1, 1)]
    return [date(2028, 1, 1) + timedelta(days=day) for day in range(366)]


@pytest.mark.parametrize("language", languages())
def test_every_page_of_every_screen_under_every_line_above(book, real, language):
    layouts = {key: found for key, found in book.layouts.items() if key[1] == language}
    assert len(layouts) > 300
    voice = book.voices[language]
    alphabet = voice.alphabet
    for (spot, _, notice), layout in layouts.items():
        screen = book.screen(spot)
        context = f"{spot.flow}.{spot.screen}"
        above = {notice_text(notice, context, screen, voice, book.registry, day) for day in _days(screen)}
        made_of = [real(spot, language, layout, line) for line in above]
        for page, made in enumerate(set().union(*pages) for pages in zip(*made_of, strict=True)):
            assert layout.widest[page] in made, (spot, notice, page)
            assert layout.costs[page] == max(cost(text, alphabet) for text in made), (spot, notice, page)


@pytest.mark.parametrize("language", languages())
def test_every_answer_to_an_sms_in_one_line(book, real, language):
    answers = {spot: layout for (spot, spoken), layout in book.answers.items() if spoken == language}
    assert answers
    for spot, layout in answers.items():
        (made,) = real(spot, language, layout, "")
        assert layout.widest[0] in made
        assert layout.costs[0] == max(cost(text, book.voices[language].alphabet) for text in made)
