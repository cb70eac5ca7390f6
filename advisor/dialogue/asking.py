"""Questions to the agent in a grower's own words: which are taken, and which SMS are meant as one.

What is typed is never said again on a phone. It goes to the agent alone, and only of a grower who agreed that it
is kept.
"""

from __future__ import annotations

from advisor.dialogue.answers import tidy
from advisor.dialogue.book import PASSED_ON
from advisor.dialogue.flows import AskKind
from advisor.dialogue.notices import TEXTS
from advisor.dialogue.one_line.answering import answers_what_waits
from advisor.dialogue.screens import ENGINE
from advisor.dialogue.walk import Walk
from advisor.wording.folding import folded

#: Two SMS in the GSM alphabet hold a little less; what is longer is no question to be answered in one SMS.
LONGEST_QUESTION = 320
#: An agent has thousands of growers: whoever waits for so many answers asks no further. It bounds a day as well,
#: and two machines that answer each other.
MOST_OPEN = 3
#: An SMS that is no keyword and no answer is taken for a question from so many words on that say something; fewer
#: are a greeting or a slip, and lead to the menus.
LEAST_WORDS = 3
#: A word, or a sign that stands alone, has so many letters or more.
_LEAST_LETTERS = 2


def why_not(walk: Walk, question: str) -> str:
    """The notice that says why a question is not put to the agent, empty where it is.

    Args:
        walk: where the conversation stands.
        question: what was typed, tidied.
    """
    if not walk.held.agreed:
        return "not_passed_on"
    if len(question) > LONGEST_QUESTION:
        return "too_long"
    if not _words(question):
        return "no_words"
    if question in walk.held.questions:
        return "asked_already"
    return "asked_enough" if len(walk.held.questions) >= MOST_OPEN else ""


def is_tale(walk: Walk, text: str) -> bool:
    """Whether an SMS, which is no keyword, is meant for people: several words, and no answer to an open question.

    Args:
        walk: where the conversation stands.
        text: the SMS as it came.
    """
    typed = tidy(text[: LONGEST_QUESTION + 1])
    vocabulary = walk.book.vocabulary
    saying = [word for word in _words(typed) if word not in vocabulary.asides]
    if len(saying) < LEAST_WORDS or _waits_for_words(walk) or (typed[:1].isdigit() and _waits_for_a_number(walk)):
        return False
    return not answers_what_waits(walk, typed)


def put_to_agent(walk: Walk, text: str) -> str:
    """Puts an SMS to the agent as a question.

    Args:
        walk: where the conversation stands, of a grower who agreed; it is left where it is.
        text: the SMS as it came.

    Returns:
        One message that says so, or why not.
    """
    question = tidy(text[: LONGEST_QUESTION + 1])
    voice = walk.book.voices[walk.held.language]
    notice = why_not(walk, question)
    if not notice:
        walk.held.ask_agent(question)
    return voice.out(voice.say(ENGINE, TEXTS[notice] if notice else PASSED_ON))


def _waits_for_words(walk: Walk) -> bool:
    """Whether a question to the agent was asked for by SMS, so that this is it."""
    return _waits_for(walk) is AskKind.TEXT


def _waits_for_a_number(walk: Walk) -> bool:
    """Whether a number is waited for by SMS, so that what begins with one is meant for it: "5 did not come up"."""
    return _waits_for(walk) in (AskKind.COUNT_OF, AskKind.NUMBER)


def _waits_for(walk: Walk) -> AskKind | None:
    """What is waited for by SMS, None where nothing is."""
    session = walk.session
    if session is None or session.place != walk.place or not walk.can_be_found() or not walk.still_asks_the_kind():
        return None
    return None if walk.screen.ask is None else walk.screen.ask.kind


def _words(typed: str) -> list[str]:
    """The words of a text, folded; a number or a sign is none."""
    return [folded(word) for word in typed.split() if sum(map(str.isalpha, word)) >= _LEAST_LETTERS]
