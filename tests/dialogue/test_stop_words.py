"""The stop words of every language are obeyed at once, by SMS and in a call, whatever question is open."""

from __future__ import annotations

import tomllib
from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from advisor.dialogue.flows import AskKind
from advisor.dialogue.step import step
from advisor.dialogue.talk import Event, EventKind, Session, Spot, Start, Stop
from advisor.records.grower import Grower
from tests.dialogue.talker import MORNING

LOCALES = Path(__file__).parents[2] / "locales"
#: Read from the files themselves and not by the code that is tested.
WORDS = tuple(
    (file.name.partition(".")[0], word)
    for file in sorted(LOCALES.glob("*.glossary.toml"))
    for word in tomllib.loads(file.read_text(encoding="utf-8"))["words"]["stop"]
)
KNOWN = Grower("+999001112233", agreed=MORNING)


def sessions(book, language):
    """A conversation at each screen that asks something, and at none.

    No shipped flow asks for a date: one that did before it was changed stands for it.
    """
    yield None
    for flow in book.flows.values():
        for screen in flow.screens:
            if screen.ask is not None:
                yield Session(
                    spots=(Spot(flow.name, screen.name),),
                    asks=screen.ask.kind.value,
                    via="",
                    page=0,
                    notice="",
                    trail=(),
                    answers=(),
                    learnt=(),
                    language=language,
                    place="ussd:s1",
                    until=MORNING + timedelta(hours=1),
                )


@pytest.mark.parametrize(("language", "word"), WORDS)
@pytest.mark.parametrize(("kind", "place"), [(EventKind.SMS, "sms"), (EventKind.ANSWER, "ussd:s1")])
def test_a_stop_word_is_obeyed_whatever_is_open(book, kind, place, language, word):
    asked = set()
    asking = list(sessions(book, "sw"))
    for session in (*asking, replace(asking[1], asks=AskKind.DATE.value)):
        for typed, known in ((word, KNOWN), (word.upper(), Grower()), (f" {word.lower()}. ", KNOWN)):
            outcome = step(book, session, known, Event(kind, typed, place, "m1"), MORNING)
            assert (outcome.session, outcome.effects) == (None, (Stop(),)), (session, typed)
            assert outcome.reply.text
            assert not outcome.reply.open
        asked.add(session and session.asks)

    assert asked == {None, *(kind.value for kind in AskKind)}, "every kind of question was open"


@pytest.mark.parametrize(("language", "word"), WORDS)
def test_whoever_has_said_no_language_is_answered_in_that_of_the_word(book, language, word):
    shared = {other for other, same in WORDS if same.casefold() == word.casefold()}
    expected = "en" if "en" in shared else language
    for kind, place in ((EventKind.SMS, "sms"), (EventKind.ANSWER, "ussd:s1")):
        outcome = step(book, None, Grower(), Event(kind, word, place, "m1"), MORNING)

        assert outcome.reply.text == book.stopped(expected)


@pytest.mark.parametrize(("language", "word"), WORDS)
@pytest.mark.parametrize(
    "around", ["{}!!!", "\u201c{}\u201d \U0001f6d1", "\U0001f64f\U0001f3fd{}", "\u202b*{}*\u202c", "{0} {0}. {0}"]
)
def test_what_is_put_around_a_stop_word_changes_nothing(book, language, word, around):
    typed = around.format(word)
    outcome = step(book, None, KNOWN, Event(EventKind.SMS, typed, "sms", "m1"), MORNING)

    assert outcome.effects == (Stop(),), typed
    assert book.is_command(typed), "it is obeyed however often the number wrote"


@pytest.mark.parametrize(
    "typed", ["\uff33\uff34\uff2f\uff30", "st\u00adop", "\U0001d412\U0001d413\U0001d40e\U0001d40f", "arre\u0302t"]
)
def test_a_stop_word_in_other_letters_for_the_same_is_one_to_the_gateway_too(book, typed):
    outcome = step(book, None, KNOWN, Event(EventKind.SMS, typed, "sms", "m1"), MORNING)

    assert outcome.effects == (Stop(),)
    assert book.is_command(typed)


@pytest.mark.parametrize("typed", ["बन्द", "बन्द।", "बंद करो", "बंद करें", "रोको", "स्टॉप"])
def test_common_spellings_in_hindi_are_obeyed(book, typed):
    """Common practice, no source: the half letter for the dot above, the familiar form, the English word."""
    outcome = step(book, None, KNOWN, Event(EventKind.SMS, typed, "sms", "m1"), MORNING)

    assert outcome.effects == (Stop(),)


@pytest.mark.parametrize("typed", ["stop acha", "stop start", "do not stop", "erase stop", "stop no"])
def test_more_than_the_word_is_no_stop(book, typed):
    outcome = step(book, None, KNOWN, Event(EventKind.SMS, typed, "sms", "m1"), MORNING)

    assert Stop() not in outcome.effects


def test_digits_dialled_behind_the_code_are_no_word(book):
    outcome = step(book, None, KNOWN, Event(EventKind.BEGIN, "stop", "ussd:s1", "m1"), MORNING)

    assert outcome.effects == ()


def test_in_a_call_the_confirmation_is_the_screen_and_ends_it(book):
    session = replace(next(one for one in sessions(book, "en") if one), language="en")
    outcome = step(book, session, KNOWN, Event(EventKind.ANSWER, "stop", "ussd:s1", "m1"), MORNING)

    assert outcome.reply.text == book.stopped("en")


@pytest.mark.parametrize("language", ["en", "sw", "hi", "fr"])
def test_what_a_stop_is_answered_names_a_word_that_starts_again(book, language):
    """A keyword such as SOYA is answered and starts nothing."""
    told = step(
        book, None, replace(KNOWN, stopped=MORNING), Event(EventKind.SMS, "soya 2 acres", "sms", "m1"), MORNING
    )
    assert told.effects == ()

    text = tomllib.loads((LOCALES / f"{language}.glossary.toml").read_text(encoding="utf-8"))
    (word,) = [word for word in text["words"]["start"][:1] if word.upper() in book.stopped(language)]
    back = step(book, None, replace(KNOWN, stopped=MORNING), Event(EventKind.SMS, word, "sms", "m2"), MORNING)
    assert back.effects == (Start(),)
