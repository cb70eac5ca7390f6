"""What is said to an SMS in one line beside its answer: how to write one, why it was not understood, help."""

from __future__ import annotations

from collections.abc import Iterable

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

#: Of the engine, for the catalogs.
ONE_LINE_TEXTS = (WRITE_LIKE, WHICH_ONE, STEP_BY_STEP, *WRITE_TO_END.values())


def example(keyword: Keyword, voice: Voice, registry: Registry) -> str:
    """A message that is understood, in capitals."""
    word = voice.glossary.keyword(keyword.name)
    return voice.out(f"{word} {whole_example(keyword.question, voice, registry)}".upper())


def write_like(keyword: Keyword, voice: Voice, registry: Registry) -> str:
    """How to write a message in one line."""
    return voice.say(ENGINE, WRITE_LIKE, example=example(keyword, voice, registry))


def reason(notice: str, keyword: Keyword, voice: Voice, registry: Registry) -> str:
    """Why the words beside a keyword are no answer, with an example of a whole message.

    Args:
        notice: name of the reason.
        keyword: the keyword.
        voice: the language.
        registry: bounds.
    """
    if placeholders(TEXTS[notice]) == {"example"}:
        return voice.say(ENGINE, TEXTS[notice], example=example(keyword, voice, registry))
    context = f"{keyword.flow.name}.{keyword.asked.name}"
    why = notice_text(notice, context, keyword.asked, voice, registry)
    return f"{voice.out(why)}\n{write_like(keyword, voice, registry)}"


def which_one(meant: Iterable[Keyword], voice: Voice, registry: Registry) -> str:
    """The question which of several keywords was meant."""
    examples = " / ".join(example(keyword, voice, registry) for keyword in meant)
    return voice.say(ENGINE, WHICH_ONE, examples=examples)


def help_text(keywords: Iterable[Keyword], voice: Voice, registry: Registry) -> str:
    """What can be written."""
    lines = [
        voice.say(keyword.context, keyword.declared.help, example=example(keyword, voice, registry))
        for keyword in keywords
    ]
    words = {key: voice.glossary.word(key).upper() for key in ("menu", "stop")}
    return "\n".join([*lines, voice.say(ENGINE, STEP_BY_STEP, **words)])


def write_to_end(command: str, voice: Voice) -> str:
    """How a command that is only taken when exact is written."""
    return voice.say(ENGINE, WRITE_TO_END[command], word=voice.glossary.word(command).upper())
