"""The proof that whatever is said to an SMS in one line beside its answer fits one message, in every language.

The answers themselves are screens and are proven where screens are laid out.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from advisor.dialogue.answers import Taken, tidy, understand
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import Flow
from advisor.dialogue.notices import REFUSALS, notices_of
from advisor.dialogue.one_line.keywords import Keyword, Vocabulary, keywords_of, vocabulary_of
from advisor.dialogue.one_line.reading import Wish, read_one_line
from advisor.dialogue.one_line.texts import (
    MOST_NAMED,
    WRITE_TO_END,
    example,
    help_text,
    reason,
    which_one,
    write_like,
    write_to_end,
)
from advisor.dialogue.registry import Registry
from advisor.dialogue.screens import ENGINE
from advisor.wording.errors import WordingError
from advisor.wording.segments import ROOM_IN_ONE_LINE, answer_room, cost
from advisor.wording.voice import Voice


@dataclass(frozen=True, slots=True)
class Said:
    """A message that an SMS in one line can get.

    Args:
        text: the message.
        place: ``flow.keyword`` or ``engine``.
        file: the file to mend.
        line: line in it.
        room: what it may cost.
    """

    text: str
    place: str
    file: str
    line: int
    room: int


def one_line_proof_faults(
    flows: Mapping[str, Flow], voices: Collection[Voice], registry: Registry
) -> Iterator[Fault]:
    """Every message that does not fit, and every example that would not be understood.

    Args:
        flows: the flows by name, sound in themselves.
        voices: the languages, with words for every keyword.
        registry: lists and bounds.
    """
    keywords = keywords_of(flows)
    vocabulary = vocabulary_of(voices, keywords)
    for voice in voices:
        for said in widest_messages(keywords, voice, registry):
            what = _too_wide(said, voice)
            if what:
                yield Fault(said.file, said.line, what, "shorten it", said.place, voice.language)
        for keyword in keywords.values():
            shown = example(keyword, voice, registry)
            if not _is_understood(shown, keyword, voice, registry, vocabulary):
                what = f"'{shown}' is not understood, and it is the example"
                instead = "give the question another example, or the keyword another first word"
                yield Fault(keyword.flow.file, keyword.declared.line, what, instead, keyword.place, voice.language)


def widest_messages(keywords: Mapping[str, Keyword], voice: Voice, registry: Registry) -> Iterator[Said]:
    """Every message of one language that an SMS in one line can get beside its answer.

    They name nothing but examples and bounds, which are the same each time, so each is as wide as it gets.
    """
    catalog, room = f"locales/{voice.language}.po", ROOM_IN_ONE_LINE[voice.alphabet]
    for keyword in keywords.values():
        for notice in notices_of(keyword.asked)[1:] if keyword.asked else REFUSALS:
            text = reason(notice, keyword, voice, registry)
            yield Said(text, keyword.place, keyword.flow.file, keyword.declared.line, room)
        if keyword.question:
            yield Said(write_like(keyword, voice, registry), ENGINE, catalog, 1, room)
    if keywords:
        by_width = sorted(
            keywords.values(), key=lambda one: cost(example(one, voice, registry), voice.alphabet), reverse=True
        )
        yield Said(
            help_text(keywords.values(), voice, registry), ENGINE, catalog, 1, answer_room(voice.alphabet, 2)
        )
        yield Said(which_one(by_width[:MOST_NAMED], voice, registry), ENGINE, catalog, 1, room)
    for command in WRITE_TO_END:
        if command in dict(voice.glossary.shown):
            yield Said(write_to_end(command, voice), ENGINE, catalog, 1, room)


def _too_wide(said: Said, voice: Voice) -> str:
    try:
        spent = cost(said.text, voice.alphabet)
    except WordingError as error:
        return str(error)
    return f"'{said.text}' costs {spent}, the message holds {said.room}" if spent > said.room else ""


def _is_understood(shown: str, keyword: Keyword, voice: Voice, registry: Registry, vocabulary: Vocabulary) -> bool:
    read = read_one_line(tidy(shown), vocabulary)
    if not isinstance(read, Wish) or read.keyword != keyword.name:
        return False
    if keyword.question is None:
        return not read.plain
    meant = understand(tidy(keyword.question.example), keyword.question, voice, registry)
    return isinstance(meant, Taken) and understand(read.rest, keyword.question, voice, registry) == meant
