"""What growers read in English is easy: the grade of each flow, the length of a sentence, one question at a time.

The grade rests on every text that is said, the short answers left out, which would flatter it.
"""

from __future__ import annotations

import re

import pytest

from advisor.dialogue.checks.texts import engine_texts
from tests.dialogue.grades import Counts, counts, sentences, syllables, words
from tests.dialogue.shipped import FLOWS

HIGHEST_GRADE = 6
LONGEST_SENTENCE = 15

#: Words of the trade, listed apart: they have four syllables or more, and there is no plainer word for what they
#: name. They count in the grade like any other.
TRADE_WORDS = frozenset(
    {
        *("inoculant", "inoculate", "inoculation", "fertiliser", "germination"),
        *("potassium", "magnesium", "bacteria"),
    }
)


def said(flow):
    """Every text of a flow that is said, but for the answers to choose from."""
    for screen in flow.screens:
        if screen.say:
            yield screen.say.text
            if screen.say.other:
                yield screen.say.other
        if screen.help:
            yield screen.help


def answers(flow):
    """The answers to choose from."""
    return [option.say for screen in flow.screens if screen.ask for option in screen.ask.options]


class TestTheRule:
    @pytest.mark.parametrize(
        ("text", "words", "syllables", "ease", "grade"),
        [
            # Wikipedia, Flesch-Kincaid readability tests: 13 words and 24 syllables, ease 37.5, grade 11.3; the
            # sentence of the cat has an ease of 116
            (
                "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.",
                13,
                24,
                37.5,
                11.3,
            ),
            ("The cat sat on the mat.", 6, 6, 116.1, -1.4),
        ],
    )
    def test_it_counts_what_published_examples_count(self, text, words, syllables, ease, grade):
        found = counts([text])

        assert found == Counts(1, words, syllables)
        assert found.ease == pytest.approx(ease, abs=0.06)
        assert found.grade == pytest.approx(grade, abs=0.06)

    def test_the_formula_gives_the_grade_of_a_book_whose_averages_are_published(self):
        # Wikipedia, as above: "Green Eggs and Ham" has 5.7 words a sentence, 1.02 syllables a word, grade -1.3
        assert Counts(1000, 5700, 5814).grade == pytest.approx(-1.3, abs=0.05)

    @pytest.mark.parametrize(
        ("word", "count"),
        [("seed", 1), ("acre", 2), ("village", 2), ("inoculant", 4), ("fertiliser", 4), ("1x25", 1), ("VALUE", 2)],
    )
    def test_syllables_of_words_in_and_out_of_the_dictionary(self, word, count):
        assert syllables(word) == count

    def test_a_line_ends_a_sentence_and_a_point_inside_a_number_does_not(self):
        assert sentences("How big?\nLike 2.5 acres. Or 1 ha\n%(area)s") == [
            "How big?",
            "Like 2.5 acres.",
            "Or 1 ha",
            "VALUE",
        ]


@pytest.fixture(params=FLOWS)
def flow(request, book):
    return book.flows[request.param]


class TestEachFlow:
    def test_its_grade_is_low(self, flow):
        found = counts(said(flow))

        assert found.grade <= HIGHEST_GRADE, found

    def test_no_sentence_is_long(self, flow):
        long = [one for text in (*said(flow), *answers(flow)) for one in sentences(text)]

        assert [one for one in long if len(words(one)) > LONGEST_SENTENCE] == []

    def test_a_screen_asks_one_question(self, flow):
        asked = [screen.say.text for screen in flow.screens if screen.say]

        assert [text for text in asked if text.count("?") > 1] == []

    def test_help_stands_above_the_question_and_asks_none(self, flow):
        assert [screen.help for screen in flow.screens if "?" in screen.help] == []

    def test_words_of_four_syllables_are_words_of_the_trade(self, flow):
        found = {
            word.lower()
            for text in (*said(flow), *answers(flow))
            for word in words(re.sub(r"%\(\w+\)s", "", text))
        }

        assert {word for word in found if syllables(word) >= 4} <= TRADE_WORDS


def test_the_engines_own_texts_are_as_easy():
    texts = engine_texts()

    assert counts(texts).grade <= HIGHEST_GRADE
    assert [one for text in texts for one in sentences(text) if len(words(one)) > LONGEST_SENTENCE] == []
