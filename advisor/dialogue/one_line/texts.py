"""What is said to an SMS in one line beside its answer: how to write one, why it was not understood, help.

Help names every keyword, each amount beside the first that takes it, and says no more, so that some fifteen fit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice

from advisor.dialogue.notices import TEXTS, notice_text, whole_example
from advisor.dialogue.one_line.keywords import Keyword
from advisor.dialogue.registry import Registry
from advisor.dialogue.screens import ENGINE
from advisor.wording.templates import placeholders
from advisor.wording.voice import Voice

WRITE_LIKE = "Write like: %(example)s"
WHICH_ONE = "Which one? Write like: %(examples)s"
STEP_BY_STEP = "To be asked step by step: %(menu)s. To stop: %(stop)s."
#: How each command that is only taken when exact is written.
WRITE_TO_END = {
    "stop": "To stop our messages, write %(word)s.",
    "erase": "To delete all we know of you, write %(word)s.",
}

#: So many keywords are named where one of several was meant.
MOST_NAMED = 3

#: Of the engine, for the catalogs.
ONE_LINE_TEXTS = (WRITE_LIKE, WHICH_ONE, STEP_BY_STEP, *WRITE_TO_END.values())


def example(keyword: Keyword, voice: Voice, registry: Registry) -> str:
    """A message that is understood, in capitals."""
    word = voice.glossary.keyword(keyword.name)
    if keyword.question is None:
        return voice.out(word.upper())
    return voice.out(f"{word} {whole_example(keyword.question, voice, registry)}".upper())


def write_like(keyword: Keyword, voice: Voice, registry: Registry) -> str:
    """How to write a message in one line."""
    return voice.say(ENGINE, WRITE_LIKE, example=example(keyword, voice, registry))


def reason(notice: str, keyword: Keyword, voice: Voice, registry: Registry) -> str:
    """Why a keyword, or the words beside it, get no answer, with an example where another amount may get one.

    Args:
        notice: name of the reason.
        keyword: the keyword.
        voice: the language.
        registry: bounds.
    """
    if placeholders(TEXTS[notice]) == {"example"}:
        return voice.say(ENGINE, TEXTS[notice], example=example(keyword, voice, registry))
    asked = keyword.asked or keyword.flow.screens[0]
    why = notice_text(notice, f"{keyword.flow.name}.{asked.name}", asked, voice, registry)
    if keyword.question is None:
        return voice.out(why)
    return f"{voice.out(why)}\n{write_like(keyword, voice, registry)}"


def which_one(meant: Iterable[Keyword], voice: Voice, registry: Registry) -> str:
    """The question which of several keywords was meant; of many it names the first."""
    examples = " / ".join(example(keyword, voice, registry) for keyword in islice(meant, MOST_NAMED))
    return voice.say(ENGINE, WHICH_ONE, examples=examples)


def help_text(keywords: Iterable[Keyword], voice: Voice, registry: Registry) -> str:
    """What can be written."""
    examples = ", ".join(_in_short(keywords, voice, registry))
    words = {key: voice.glossary.word(key).upper() for key in ("menu", "stop")}
    return f"{voice.say(ENGINE, WRITE_LIKE, example=examples)}\n{voice.say(ENGINE, STEP_BY_STEP, **words)}"


def _in_short(keywords: Iterable[Keyword], voice: Voice, registry: Registry) -> Iterator[str]:
    """A message of the first keyword of each amount; of the others the word, which is told its amount later."""
    shown: set[str] = set()
    for keyword in keywords:
        amount = whole_example(keyword.question, voice, registry) if keyword.question else ""
        short = voice.out(voice.glossary.keyword(keyword.name).upper())
        yield short if amount in shown else example(keyword, voice, registry)
        shown.add(amount)


def write_to_end(command: str, voice: Voice) -> str:
    """How a command that is only taken when exact is written."""
    return voice.say(ENGINE, WRITE_TO_END[command], word=voice.glossary.word(command).upper())
