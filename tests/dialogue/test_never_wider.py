"""Ten thousand random legal values of every message of every language: no page is wider than was proven.

Each draw gives every name of the message a value, and a real page is put together of it and counted. The words of
a kind in a language are drawn once, ten thousand of them, and dealt to each message in another order. A message
that names nothing is the same at every draw, so it is put together once. Lines above a screen hold no values of a
conversation, so pages without one are drawn.
"""

from random import Random

import pytest

from advisor.dialogue.screens import ENGINE, MORE, footer, lines
from advisor.wording.segments import cost
from advisor.wording.templates import placeholders
from tests.dialogue.planting import languages
from tests.dialogue.values import any_value

DRAWS = 10_000


class Words:
    """Words of random values, drawn once for each kind and language."""

    def __init__(self):
        self._drawn = {}

    def dealt(self, kind, voice, random):
        key = (kind, voice.language)
        if key not in self._drawn:
            source, said = Random(f"{kind} {voice.language}"), {}
            values = [any_value(kind, source) for _ in range(DRAWS)]
            for value in values:
                if value not in said:
                    said[value] = kind.words(value, voice)
            self._drawn[key] = [(value, said[value]) for value in values]
        dealt = list(self._drawn[key])
        random.shuffle(dealt)
        return dealt


@pytest.fixture(scope="module")
def drawn():
    return Words()


def _template(voice, context, say, count):
    if say.other:
        found = voice.catalog.plural(context, say.text, say.other, count)
    else:
        found = voice.catalog.message(context, say.text)
    assert found is not None
    return found


def _names(book, spot):
    say = book.screen(spot).say
    return sorted(placeholders(say.text) | placeholders(say.other) | ({say.count} if say.count else set()))


def _widest(book, spot, language, layout, words):
    """The widest cost of each page over all draws, and how many draws there were."""
    screen, voice = book.screen(spot), book.voices[language]
    context, say, alphabet = f"{spot.flow}.{spot.screen}", screen.say, voice.alphabet
    entries = book.registry.entries(screen.ask.source) if screen.ask and screen.ask.source else ()
    names = _names(book, spot)
    random = Random(f"{context} {language}")
    dealt = [words.dealt(book.kind(spot.flow, name), voice, random) for name in names]
    # The choices are the same at every draw, so they are put together once, behind a text of one line.
    below = "" if (spot, language) in book.answers else footer(screen, voice, can_go_back=True)
    plain = lines(context, screen, voice, entries, lambda name: "", "", 1 if say.other else None)
    said = len(_template(voice, context, say, 1).split("\n"))
    options = [voice.out(line) for line in plain[said:]]
    under = [voice.say(ENGINE, MORE)] * (len(layout.pages) - 1) + ([below] if below else [""])
    widest, counted = [0] * len(layout.pages), 0
    for values in zip(*dealt, strict=True) if names else [()]:
        texts = {name: text for name, (_, text) in zip(names, values, strict=True)}
        count = next((value for name, (value, _) in zip(names, values, strict=True) if name == say.count), None)
        shown = voice.out(_template(voice, context, say, count) % texts).split("\n") + options
        counted += 1
        for page, (first, end) in enumerate(layout.pages):
            text = "\n".join([*shown[first:end], under[page]]) if under[page] else "\n".join(shown[first:end])
            widest[page] = max(widest[page], cost(text, alphabet))
    return widest, counted


@pytest.mark.parametrize("language", languages())
def test_no_page_of_ten_thousand_draws_a_message_is_wider_than_proven(book, drawn, language):
    proven = {
        spot: found for (spot, spoken, notice), found in book.layouts.items() if spoken == language and not notice
    }
    proven |= {spot: found for (spot, spoken), found in book.answers.items() if spoken == language}
    assert proven.keys() == book.questions.keys()
    for spot, layout in proven.items():
        widest, counted = _widest(book, spot, language, layout, drawn)

        assert counted == (DRAWS if _names(book, spot) else 1)
        assert all(found <= claimed for found, claimed in zip(widest, layout.costs, strict=True)), (spot, widest)
