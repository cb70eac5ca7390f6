"""The pseudo-language: longer by two fifths, in the same alphabet, with every value and line where it was."""

import re
from math import ceil

from hypothesis import given
from hypothesis import strategies as st

from advisor.wording.gsm import is_gsm, septets
from advisor.wording.stretching import FIRST, LAST, stretched, stretched_catalog
from advisor.wording.templates import placeholders
from tests.dialogue.shipped import FLOWS

PLACE = re.compile(r"%\([a-z][a-z0-9_]*\)s|%%")
WORDS = st.text("abcdefghè yzAÉ0123.,?\n", max_size=60)
TEXTS = st.lists(st.one_of(WORDS, st.sampled_from(["%(area)s", "%(total)s", "%%"])), max_size=6).map("".join)


@given(TEXTS)
def test_it_is_longer_by_two_fifths_and_marked_at_both_ends(text):
    found = stretched(text)
    before, after = PLACE.sub("", text), PLACE.sub("", found)

    assert found.startswith(FIRST)
    assert found.endswith(LAST)
    wanted = len(before) + max(2, ceil(0.4 * len(before)))
    assert len(after) == wanted or not before.strip()


@given(TEXTS)
def test_values_lines_and_signs_stay_in_their_order(text):
    found = stretched(text)

    assert PLACE.findall(found) == PLACE.findall(text)
    assert placeholders(found) == placeholders(text)
    assert found.count("\n") == text.count("\n")
    letters = iter(found)
    assert all(sign in letters for sign in text)


@given(TEXTS)
def test_it_stays_in_the_alphabet_and_adds_no_sign_of_two_septets(text):
    found = stretched(text)

    assert is_gsm(found)
    assert septets(found) - len(found) == septets(text) - len(text)


def test_each_form_of_a_counted_text_is_stretched_by_itself():
    catalog = stretched_catalog("en")
    one, other = "%(n)s spoon of it", "%(n)s spoons of it"
    assert catalog.plural("tea.cup", one, other, 1) == stretched(one)
    assert catalog.plural("tea.cup", one, other, 3) == stretched(other)


def test_no_shipped_text_holds_one_of_the_marks():
    from advisor.loading import load_book

    book = load_book()
    texts = [screen.say.text for name in FLOWS for screen in book.flows[name].screens if screen.say]
    assert [text for text in texts if FIRST in text or LAST in text] == []
