"""The words of all languages that an SMS in one line can hold, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from advisor.dialogue.checks.material import line_with
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import Ask, Flow, OneLine, Screen
from advisor.dialogue.one_line.spelling import LEAST_LETTERS, slips
from advisor.wording.folding import folded
from advisor.wording.glossary import Glossary
from advisor.wording.units import UNITS
from advisor.wording.voice import Voice

#: Commands that are taken only when the whole message is exactly their word: they cannot be undone by a slip.
EXACT_ONLY = ("stop", "erase")


@dataclass(frozen=True, slots=True)
class Keyword:
    """A keyword with the flow that declares what it gets.

    Args:
        flow: the flow, sound in itself.
        declared: what the keyword gets.
        asked: the screen whose question the words beside it answer, None where it stands alone.
    """

    flow: Flow
    declared: OneLine
    asked: Screen | None

    @property
    def name(self) -> str:
        """Its name in flows and glossaries."""
        return self.declared.keyword

    @property
    def question(self) -> Ask | None:
        """The question that the words beside it answer, None where it stands alone."""
        return self.asked.ask if self.asked else None

    @property
    def place(self) -> str:
        """Where it stands, for faults."""
        return f"{self.flow.name}.{self.name}"


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The words of all languages of a book, folded.

    Args:
        keywords: words of keywords, and the keyword each means.
        endings: words of the commands that are taken only when exact, and the command each means.
        phrases: those of them that are several words.
        helps: words that ask for help, and the languages they are of.
        asides: words that say nothing beside a keyword.
        meant: every word that means something, and the languages it is of; a word that means something is
            never taken for another one.
        areas: words of measures of area in all languages, and the unit each means.
        numbers: words that are numbers or parts of them.
        languages: words of units, keywords and ``endings`` with each language they are of, for telling a language
            where a word was misspelled.
    """

    keywords: Mapping[str, str]
    endings: Mapping[str, str]
    phrases: tuple[str, ...]
    helps: Mapping[str, frozenset[str]]
    asides: frozenset[str]
    meant: Mapping[str, frozenset[str]]
    areas: tuple[tuple[str, str], ...]
    numbers: frozenset[str]
    languages: tuple[tuple[str, str], ...]


def vocabulary_of(voices: Iterable[Voice], declared: Collection[str]) -> Vocabulary:
    """The vocabulary of a book.

    Args:
        voices: its languages.
        declared: names of the keywords that its flows answer; glossaries may hold more.
    """
    glossaries = [voice.glossary for voice in voices]
    endings = {word: key for glossary in glossaries for word, key in glossary.keys if key in EXACT_ONLY}
    return Vocabulary(
        keywords=MappingProxyType(
            {word: key for glossary in glossaries for word, key in _keywords(glossary, declared)}
        ),
        endings=MappingProxyType(endings),
        phrases=tuple(phrase for phrase in endings if " " in phrase),
        helps=_by_word((word, g.language) for g in glossaries for word, key in g.keys if key == "help"),
        asides=frozenset(word for glossary in glossaries for word in glossary.asides),
        meant=_by_word(
            (word, g.language) for g in glossaries for phrase in _all(g, declared) for word in phrase.split()
        ),
        areas=tuple(pair for g in glossaries for pair in g.units if UNITS[pair[1]].measures == "area"),
        numbers=frozenset(word for g in glossaries for phrase in _numbers(g) for word in phrase.split()),
        languages=tuple((word, g.language) for g in glossaries for word in _telling(g, declared)),
    )


def keywords_of(flows: Mapping[str, Flow]) -> dict[str, Keyword]:
    """The keywords by name; of two with one name the first, and none whose question is lost."""
    found: dict[str, Keyword] = {}
    for flow in flows.values():
        for one_line in flow.one_lines:
            asked = flow.screen(one_line.answers)
            if not one_line.answers or (asked is not None and asked.ask is not None):
                found.setdefault(one_line.keyword, Keyword(flow, one_line, asked))
    return found


def keyword_faults(
    flows: Mapping[str, Flow], voices: Collection[Voice], texts: Mapping[str, str] | None = None
) -> list[Fault]:
    """Keywords without words, words with two meanings, and words too near to those that must be exact.

    Args:
        flows: the flows by name.
        voices: the languages.
        texts: the text of each file by its name, in which the glossaries' lines are found.
    """
    declared: dict[str, tuple[Flow, OneLine]] = {}
    faults: list[Fault] = []
    for flow in flows.values():
        for one_line in flow.one_lines:
            first, _ = declared.setdefault(one_line.keyword, (flow, one_line))
            if first is not flow:
                what = f"'{one_line.keyword}' is declared in '{first.name}' too"
                faults.append(Fault(flow.file, one_line.line, what, "give one of them another name"))
    glossaries = [voice.glossary for voice in voices]
    for glossary in glossaries:
        language = glossary.language
        file, text = _file_of(language, texts or {})
        for name, (flow, one_line) in declared.items():
            if name not in dict(glossary.keywords):
                what, instead = f"no word for '{name}'", f'write {name} = ["…"] under [keywords] in {file}'
                faults.append(Fault(flow.file, one_line.line, what, instead, f"{flow.name}.{name}", language))
        found = _word_faults(glossary, glossaries, declared)
        faults += [
            Fault(file, line_with(text, f"{key} ="), what, instead, language=language)
            for key, what, instead in found
        ]
    return faults


def _file_of(language: str, texts: Mapping[str, str]) -> tuple[str, str]:
    """Name and text of a glossary's file."""
    name = f"{language}.glossary.toml"
    return next((pair for pair in texts.items() if pair[0].endswith(f"/{name}")), (f"locales/{name}", ""))


def _word_faults(
    glossary: Glossary, glossaries: list[Glossary], declared: Collection[str]
) -> Iterator[tuple[str, str, str]]:
    """Each fault in the words of one language, beside all languages: the key it stands under, and what to do."""
    endings = {word: key for other in glossaries for word, key in other.keys if key in EXACT_ONLY}
    for word, key in glossary.keys:
        if endings.get(word, key) != key:
            yield key, f"'{word}' means {key}, and {endings[word]} in another language", "take another word"
    taken = {
        word: f"{means} ({other.language})"
        for other in (*reversed(glossaries), glossary)
        for phrase, means in _meanings(other)
        for word in (phrase, *phrase.split())
    }
    keywords = sorted({pair for other in glossaries for pair in _keywords(other, declared)})
    for word, name in _keywords(glossary, declared):
        if len(word.split()) != 1 or len(word) < LEAST_LETTERS:
            what = f"the keyword word '{word}' is too short or not one word"
            yield name, what, f"use one word of {LEAST_LETTERS} letters or more"
        if word in taken:
            yield name, f"the keyword word '{word}' is also {taken[word]}", "take another word"
        for ending in endings:
            if slips(word, ending) is not None or slips(ending, word) is not None:
                yield name, f"the keyword word '{word}' is too near to '{ending}'", "take another word"
        for other, meaning in keywords:
            # Told once, at the keyword that was declared later.
            is_later = list(declared).index(name) > list(declared).index(meaning)
            if is_later and (word == other or slips(word, other) == 1 or slips(other, word) == 1):
                yield name, f"'{word}' for '{name}' is too near to '{other}' for '{meaning}'", "take another word"
    # A command word is one only where it stands alone, so elsewhere it may say nothing ("la", "oui").
    telling = {word for other in glossaries for word in (*(word for word, _ in other.units), *_numbers(other))}
    for word in glossary.asides:
        if word in telling or word in endings:
            yield "asides", f"'{word}' says something and is no aside", "take it out of 'asides'"


def _keywords(glossary: Glossary, declared: Collection[str]) -> Iterator[tuple[str, str]]:
    for name, words in glossary.keywords:
        if name in declared:
            yield from ((folded(word), name) for word in words)


def _fixed(glossary: Glossary) -> Iterator[str]:
    """Words that mean something wherever they stand: commands, units and numbers."""
    yield from (word for word, _ in (*glossary.keys, *glossary.units))
    yield from _numbers(glossary)


def _meanings(glossary: Glossary) -> Iterator[tuple[str, str]]:
    """Words that a keyword cannot have, and what each is."""
    yield from ((word, "an aside") for word in glossary.asides)
    yield from ((word, "a word of a number") for word in _numbers(glossary))
    yield from ((word, f"a word of the unit '{unit}'") for word, unit in glossary.units)
    yield from ((word, f"a word of the command '{key}'") for word, key in glossary.keys)


def _numbers(glossary: Glossary) -> Iterator[str]:
    known = glossary.number_words
    for words in (known.values, known.scales, known.fractions, known.shifts):
        yield from words


def _all(glossary: Glossary, declared: Collection[str]) -> Iterator[str]:
    yield from _fixed(glossary)
    yield from glossary.number_words.joins
    yield from glossary.number_words.points
    yield from (*glossary.day_words.near, *glossary.day_words.months, *glossary.day_words.weekdays)
    yield from (word for word, _ in _keywords(glossary, declared))
    yield from glossary.asides


def _telling(glossary: Glossary, declared: Collection[str]) -> Iterator[str]:
    yield from (word for word, _ in _keywords(glossary, declared))
    yield from (word for word, _ in glossary.units)
    yield from (word for word, key in glossary.keys if key in EXACT_ONLY)


def _by_word(pairs: Iterable[tuple[str, str]]) -> Mapping[str, frozenset[str]]:
    found: dict[str, frozenset[str]] = {}
    for word, language in pairs:
        found[word] = found.get(word, frozenset()) | {language}
    return MappingProxyType(found)
