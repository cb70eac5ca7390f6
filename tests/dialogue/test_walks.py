"""Whatever is typed, in whatever language and channel: no error, no page too long, always a way on."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.wording.segments import ROOM, alphabet_of, cost
from tests.dialogue.talker import Talker

USUAL = st.sampled_from(
    ["1", "2", "3", "4", "5", "9", "0", "00", "000", "2.5", "45 of 50", "25", "60", "2000", "?"]
)
STRANGE = st.one_of(
    st.text(max_size=40),
    st.sampled_from(
        ["", " ", "\x00\x07\x1b", "😀" * 30, "ñ" * 200, "१२", "٣", "½", "-1", "1e9", "999999999999", "%(area)s"]
    ),
    st.just("7" * 100_000),
)
TYPED = st.one_of(USUAL, USUAL, USUAL, STRANGE)
MOVES = st.lists(
    st.one_of(
        st.tuples(st.just("type"), TYPED),
        st.tuples(st.just("type"), TYPED),
        st.tuples(st.just("type"), TYPED),
        st.tuples(st.just("sms"), TYPED),
        st.tuples(st.just("dial"), st.sampled_from(["", "", "1", "2*5"])),
        st.tuples(st.just("hang_up"), st.just("")),
        st.tuples(st.just("wait"), st.sampled_from(["minutes=5", "hours=2", "days=40", "days=400"])),
    ),
    max_size=40,
)


def _do(talker, move, text):
    if move == "wait":
        unit, number = text.split("=")
        talker.wait(**{unit: int(number)})
        return
    getattr(talker, move)(*([] if move == "hang_up" else [text]))
    if move == "hang_up":
        return
    page = talker.reply.text
    alphabet = talker.book.voices[talker.session.language].alphabet if talker.session else alphabet_of(page)
    assert page.strip()
    assert cost(page, alphabet) <= ROOM[alphabet]
    assert talker.reply.open == (talker.session is not None)


@pytest.mark.parametrize("language", ["1", "2", "3", "4"])
@given(moves=MOVES)
@settings(max_examples=150)
def test_a_walk_never_raises_and_never_exceeds_a_page(book, language, moves):
    talker = Talker(book)
    talker.dial()
    talker.type(language)
    for move, text in moves:
        _do(talker, move, text)

    # From wherever the walk ended, a later call comes to the menu in a few keys, and to the list in a few more.
    talker.wait(days=3).dial()
    for _ in range(5):
        if talker.spot == "welcome.menu":
            break
        talker.type("1")
    assert talker.spot == "welcome.menu"
    talker.type("1")
    assert talker.spot.startswith("buy_list.")


@given(text=st.text(max_size=300))
@settings(max_examples=200)
def test_any_text_is_answered_on_the_first_screen(book, text):
    talker = Talker(book)
    talker.dial()

    shown = talker.type(text)
    alphabet = talker.book.voices[talker.session.language].alphabet
    assert cost(shown, alphabet) <= ROOM[alphabet]
    assert talker.session is not None
