"""Slips of spelling are forgiven where nothing else can be meant, and never towards what cannot be undone."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.dialogue.one_line.keywords import vocabulary_of
from advisor.dialogue.one_line.reading import Unsure, WayOut, Wish, read_one_line
from advisor.dialogue.one_line.spelling import forgiven, nearest, slips
from advisor.wording.folding import folded

LATIN = "abcdefghijklmnopqrstuvwxyz"
#: Letters and signs that Hindi words are typed with.
DEVANAGARI = "अआइईउऊएऐओऔकखगघचछजझटठडढणतथदधनपफबभमयरलवशषसहािीुूेैोौंः्"


def letters_of(word):
    return LATIN if word.isascii() else DEVANAGARI


def edits(word):
    """Every word that is one letter left out, put in, put for another, or swapped with the next away."""
    found = {word[:at] + word[at + 1 :] for at in range(len(word))}
    found |= {word[:at] + word[at + 1] + word[at] + word[at + 2 :] for at in range(len(word) - 1)}
    for letter in letters_of(word):
        found |= {word[:at] + letter + word[at + 1 :] for at in range(len(word))}
        found |= {word[:at] + letter + word[at:] for at in range(len(word) + 1)}
    return found - {word}


def osa(a, b):
    """Optimal string alignment by its textbook recurrence (Boytsov 2011, section 2.2.1, from memory)."""
    rows = [[max(i, j) if min(i, j) == 0 else 0 for j in range(len(b) + 1)] for i in range(len(a) + 1)]
    for i in range(1, len(a) + 1):
        for j in range(1, len(b) + 1):
            swap = i > 1 and j > 1 and a[i - 1] == b[j - 2] and a[i - 2] == b[j - 1]
            rows[i][j] = min(
                rows[i - 1][j] + 1,
                rows[i][j - 1] + 1,
                rows[i - 1][j - 1] + (a[i - 1] != b[j - 1]),
                *([rows[i - 2][j - 2] + 1] if swap else []),
            )
    return rows[-1][-1]


@pytest.fixture(scope="module")
def vocabulary(book):
    return book.vocabulary


class TestDistance:
    @given(st.text("abcd", max_size=9), st.text("abcd", min_size=1, max_size=9))
    def test_slips_are_counted_as_the_textbook_does(self, typed, word):
        found = osa(typed, word)

        assert slips(typed, word) == (found if found <= forgiven(word) else None)

    @pytest.mark.parametrize(
        ("word", "most"), [("soy", 0), ("soya", 1), ("soybean", 1), ("soyabean", 2), ("सोयाबीन", 1)]
    )
    def test_longer_words_may_have_more_slips(self, word, most):
        assert forgiven(word) == most

    def test_two_words_equally_near_are_both_named(self):
        assert nearest("beas", [("peas", "pea"), ("teas", "tea")]) == (1, frozenset({"pea", "tea"}))

    def test_the_nearer_word_wins(self):
        assert nearest("soybeam", [("soyabean", "far"), ("soybean", "near")]) == (1, frozenset({"near"}))


class TestKeywords:
    def test_every_single_edit_of_every_keyword_word_is_that_keyword_or_asked_about(self, vocabulary):
        tried = 0
        for word, keyword in vocabulary.keywords.items():
            for typed in edits(word):
                if folded(typed) in vocabulary.meant and folded(typed) not in vocabulary.keywords:
                    continue  # a word that means something is itself
                tried += 1
                found = read_one_line(typed, vocabulary)
                assert isinstance(found, Wish | Unsure | WayOut), (word, typed)
                assert not isinstance(found, Wish) or found.keyword == keyword, (word, typed)
        assert tried > 2000

    def test_an_edit_of_a_keyword_that_means_something_else_is_never_taken_for_it(self, vocabulary):
        """``moja`` is one in Swahili, and one letter from ``soja``; ``seed`` is one from ``weed``."""
        other = {
            typed
            for word in vocabulary.keywords
            for typed in map(folded, edits(word))
            if typed in vocabulary.meant and typed not in vocabulary.keywords
        }

        assert {"moja", "seed"} <= other
        assert [typed for typed in other if isinstance(read_one_line(typed, vocabulary), Wish)] == []

    def test_a_word_equally_near_to_two_keywords_is_asked_about(self, two_keywords):
        assert read_one_line("beas 2", two_keywords) == Unsure(("pea", "tea"), ("beas", "2"))

    def test_an_exact_keyword_is_itself(self, two_keywords):
        assert read_one_line("teas 2", two_keywords).keyword == "tea"

    def test_two_keywords_in_one_message_are_asked_about(self, two_keywords):
        assert read_one_line("teas and peas 2", two_keywords).keywords == ("pea", "tea")


class TestStopAndErase:
    def test_no_single_edit_of_a_word_for_stop_or_erase_is_taken_for_it(self, book):
        for ending in book.vocabulary.endings:
            for typed in edits(ending):
                if folded(typed) not in book.vocabulary.endings:
                    assert not book.is_stop_word(typed), typed
                    assert not book.is_erase_word(typed), typed

    def test_nor_is_it_ever_taken_for_a_keyword(self, vocabulary):
        tried = 0
        for ending in vocabulary.endings:
            for typed in edits(ending):
                tried += 1
                assert not isinstance(read_one_line(typed, vocabulary), Wish), typed
                assert not isinstance(read_one_line(f"{typed} 2", vocabulary), Wish), typed
        assert tried > 1000

    def test_a_word_that_may_be_a_stop_is_no_slip_in_a_keyword(self, book):
        """``slop`` is one letter from ``stop`` and one from this keyword."""
        near = with_keywords(book, ("slip", ("Slip",)))

        assert isinstance(read_one_line("slpi 2", near), Wish)
        assert read_one_line("slop 2", near) is None
        assert isinstance(read_one_line("slop", near), WayOut)

    def test_an_edit_of_a_word_of_four_letters_or_more_is_told_how_to_stop(self, vocabulary):
        for ending, command in vocabulary.endings.items():
            for typed in edits(ending):
                means_something = folded(typed) in vocabulary.meant or len(folded(typed).split()) != 1
                if len(ending) < 4 or " " in ending or means_something:
                    continue
                found = read_one_line(typed, vocabulary)
                assert isinstance(found, WayOut), typed
                nearer = [other for other in vocabulary.endings if vocabulary.endings[other] == found.command]
                assert found.command == command or any(slips(folded(typed), other) for other in nearer)

    def test_the_exact_word_is_left_to_the_command_itself(self, vocabulary):
        assert all(read_one_line(ending.upper(), vocabulary) is None for ending in vocabulary.endings)

    @settings(max_examples=400)
    @given(st.text(max_size=40))
    def test_nothing_but_the_exact_words_stops_or_erases_anything(self, book, text):
        assert book.is_stop_word(text) == (folded(text) in _words_for(book, "stop"))
        assert book.is_erase_word(text) == (folded(text) in _words_for(book, "erase"))

    @pytest.mark.parametrize("command", ["stop", "erase"])
    def test_the_exact_words_do_in_every_language_and_case(self, book, command):
        for word in _words_for(book, command):
            assert book.is_stop_word(f" {word.upper()}! ") == (command == "stop"), word
            assert book.is_erase_word(f" {word.upper()}! ") == (command == "erase"), word

    @settings(max_examples=400)
    @given(typed=st.lists(st.sampled_from(["soya", "2", "acres", "stop", "stpo", "na", "½", "हाँ", ".", "-"])))
    def test_words_in_any_order_never_raise_and_never_pass_over_a_stop(self, vocabulary, typed):
        found = read_one_line(" ".join(typed), vocabulary)

        if "stop" in typed and "soya" in typed:
            assert isinstance(found, WayOut)


@settings(max_examples=500)
@given(st.text(max_size=60))
def test_random_text_never_raises(vocabulary, text):
    read_one_line(text, vocabulary)


def _words_for(book, command):
    return {word for voice in book.voices.values() for word, key in voice.glossary.keys if key == command}


def with_keywords(book, *words):
    """The vocabulary of English with other keywords: pairs of a name and its words."""
    english = book.voices["en"]
    voice = replace(english, glossary=replace(english.glossary, keywords=words))
    return vocabulary_of([voice], [name for name, _ in words])


@pytest.fixture(scope="module")
def two_keywords(book):
    return with_keywords(book, ("tea", ("Teas",)), ("pea", ("Peas",)))
