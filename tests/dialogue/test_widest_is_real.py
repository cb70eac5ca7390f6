"""The widest page that is claimed is really produced: by a legal value for each name that the text has.

So a bound that is too generous cannot pass: it would claim a page that no values make.
"""

from datetime import date, timedelta

import pytest

from advisor.dialogue.flows import AskKind
from advisor.dialogue.notices import notice_text
from advisor.dialogue.screens import footer, lines, page_text
from advisor.dialogue.several import most_of_own, own_entries
from advisor.loading import load_book
from advisor.wording.errors import TooManyPages
from advisor.wording.kinds import Length, Whole
from advisor.wording.pages import page_breaks_of_forms
from advisor.wording.segments import cost
from tests.dialogue.planting import languages

#: What can be known of one of the grower's own, as far as a list says it, in the order of the lines of its list:
#: of lines that are equally wide the first is claimed.
KNOWN_OF_ONE = {
    "plot": ({"plot.area"}, {}),
    "lot": ({"lot.origin", "lot.test"}, {"lot.origin"}, {}),
}


def _own_entries(book, spot, screen, voice, count):
    """A list of so many of the grower's own, each with what makes its line the widest."""
    of = screen.ask.source
    every = []
    for names in KNOWN_OF_ONE[of]:
        for origin in ("bought", "saved") if "lot.origin" in names else ("",):
            kinds = {name: book.kind("", name) for name in names - {"lot.origin"}} if names else {}
            facts = {name: kind.witness(voice) for name, kind in kinds.items()}
            every.append(facts | ({"lot.origin": origin} if origin else {}))
    said = [
        own_entries(
            f"{spot.flow}.{spot.screen}",
            screen.ask,
            voice,
            book.registry,
            book.kinds,
            [(place, place + 1, facts) for place in range(count)],
        )
        for facts in every
    ]
    return tuple(
        max(nth, key=lambda entry: cost(voice.out(entry[1].default), voice.alphabet))
        for nth in zip(*said, strict=True)
    )


def _real_pages(book, spot, language, layout, above, own):
    """The texts that each page of a screen takes when its values are witnesses, one for each plural form."""
    screen, voice, context = book.screen(spot), book.voices[language], f"{spot.flow}.{spot.screen}"
    entries = book.registry.entries(screen.ask.source) if screen.ask and screen.ask.source else ()
    entries = (
        _own_entries(book, spot, screen, voice, own or most_of_own(screen)) if most_of_own(screen) else entries
    )
    below = footer(screen, voice, can_go_back=True) if (spot, language) not in book.answers else ""
    made = [set() for _ in layout.pages]
    for count in _counts(book, spot, screen, voice):

        def words(name, count=count):
            kind = book.kind(spot.flow, name)
            value = count if count is not None and name == screen.say.count else kind.witness(voice)
            kind.check(value)
            return kind.words(value, voice)

        shown = lines(context, screen, voice, entries, words, above, count, brief=layout.brief)
        for page in range(len(layout.pages)):
            made[page].add(page_text(shown, layout, page, below, voice))
    return made


def _counts(book, spot, screen, voice):
    """A count for each plural form that the counted value can take, None where nothing is counted."""
    if not screen.say.other:
        return [None]
    kind = book.kind(spot.flow, screen.say.count)
    assert isinstance(kind, Whole)
    return [count for _, count in kind.witnesses(voice)]


def _days(screen):
    """Days on which a line above may name other days: of a question for a date each day of the calendar.

    They run from 1 March 2027 to 29 February 2028, with the last day of 2027, which the widest example names.
    """
    if screen.ask is None or screen.ask.kind is not AskKind.DATE:
        return [date(2028, 1, 1)]
    return [date(2027, 3, 1) + timedelta(days=day) for day in range(366)]


def unreal(book, language):
    """Every page claimed to be the widest that witnesses do not make, or make wider."""
    voice = book.voices[language]
    claimed = {(*key, 0): found for key, found in book.layouts.items() if key[1] == language}
    claimed |= {key: found for key, found in book.fewer.items() if key[1] == language}
    claimed |= {(spot, said, "", 0): found for (spot, said), found in book.answers.items() if said == language}
    assert len(claimed) > 300
    found = []
    for (spot, _, notice, own), layout in claimed.items():
        screen, context = book.screen(spot), f"{spot.flow}.{spot.screen}"
        above = {notice_text(notice, context, screen, voice, book.registry, day) for day in _days(screen)}
        made_of = [_real_pages(book, spot, language, layout, line, own) for line in above]
        for page, made in enumerate(set().union(*pages) for pages in zip(*made_of, strict=True)):
            widest = max(cost(text, voice.alphabet) for text in made)
            if layout.widest[page] not in made or layout.costs[page] != widest:
                found.append((spot, notice, page))
    return found


@pytest.mark.parametrize("language", languages())
def test_every_page_of_every_screen_under_every_line_above_is_made_by_legal_values(book, language):
    assert unreal(book, language) == []


def test_a_bound_that_is_too_generous_does_not_pass(monkeypatch):
    """Were a length given a little more room than any takes, pages would be claimed that are never made."""

    def generous(kind, voice):
        """In English alone: other languages may have no room for it, and then there is no book."""
        return kind.words(kind.witness(voice), voice) + ("0" if voice.language == "en" else "")

    monkeypatch.setattr(Length, "widest", generous)
    lazy = load_book()

    told = {f"{spot.flow}.{spot.screen}" for spot, _, _ in unreal(lazy, "en")}
    assert told >= {"measure_field.rope", "buy_list.sow_even", "buy_list.sow_mixed", "how_to_sow.by_cm"}
    assert not told & {"welcome.menu", "buy_list.change", "my_fields.list"}, "they say no length"


def test_a_page_is_as_wide_as_its_widest_plural_form_and_not_as_their_widest_lines_together():
    """No count makes a page with the widest line of one form above the widest line of another."""
    wide, narrow = [90, 60], [60, 90]

    assert page_breaks_of_forms([wide, narrow], 159, 6, 6) == ((0, 2),)
    with pytest.raises(TooManyPages):
        page_breaks_of_forms([[max(pair) for pair in zip(wide, narrow, strict=True)]], 159, 6, 6, most=1)
