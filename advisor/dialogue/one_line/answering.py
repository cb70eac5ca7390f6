"""An SMS in one line, such as ``SOYA 2 ACRES``, and its one answer.

The answer is for what was typed. It leaves an open conversation where it is and keeps nothing: a question about
a neighbour's field must not overwrite the grower's own. Of the seed it knows what is known and fresh, so that
nobody whose seed failed its test is told to sow it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from msgspec.structs import replace

from advisor.dialogue.answers import Slip, Taken, understand
from advisor.dialogue.book import Book
from advisor.dialogue.flows import Ask, AskKind
from advisor.dialogue.held import LANGUAGE
from advisor.dialogue.keys import key_of
from advisor.dialogue.notices import notice_of
from advisor.dialogue.one_line.keywords import Keyword, Vocabulary
from advisor.dialogue.one_line.reading import (
    BREAK,
    FEW_WORDS,
    Unsure,
    WayOut,
    Wish,
    is_tale,
    near_endings,
    read_one_line,
)
from advisor.dialogue.one_line.spelling import LEAST_LETTERS, all_near, all_slips, nearest
from advisor.dialogue.one_line.texts import help_text, reason, which_one, write_like, write_to_end
from advisor.dialogue.others import other_answer
from advisor.dialogue.registry import assumed
from advisor.dialogue.showing import whole_text
from advisor.dialogue.talk import Spot
from advisor.dialogue.walk import Walk
from advisor.dialogue.walk_errors import REFUSED, Missing
from advisor.wording.folding import folded
from advisor.wording.glossary import Glossary
from advisor.wording.voice import Voice

#: Measures of area that no glossary has, spelled like those it has: an are is a hundredth of a hectare, a decare a
#: tenth (from memory, no source).
_OTHER_MEASURES = frozenset({"are", "ares", "decare", "decares", "dekare", "dekares", "centiare", "centiares"})
_BEFORE_A_UNIT = re.compile(r"(?<=[0-9])(?=[^\W\d_])")


def one_line_answer(walk: Walk, typed: str) -> str | None:
    """The answer to an SMS in one line.

    Args:
        walk: where the conversation stands; it is left as it is.
        typed: what was typed, tidied.

    Returns:
        One message, proven to fit; None where what was typed belongs to the conversation.
    """
    if typed.isdecimal():
        return None  # a number alone asks for nothing
    book = walk.book
    own = walk.held.get(LANGUAGE)
    own = str(own) if own in book.voices else ""
    if walk.session is None and book.keywords and (typed == "?" or folded(typed) in book.vocabulary.helps):
        language = own or _language_of(book, book.vocabulary.helps.get(folded(typed), frozenset()))
        return help_text(book.keywords.values(), book.voices[language], book.registry)
    found = read_one_line(typed, book.vocabulary)
    if found is None or answers_what_waits(walk, typed):
        return None
    if not isinstance(found, WayOut) and is_tale(found, book.vocabulary):
        return None
    languages = _languages(book, own, found.words)
    voice = book.voices[languages[0]]
    match found:
        case WayOut(command):
            return write_to_end(command, voice)
        case Unsure(names):
            return which_one([book.keywords[name] for name in names], voice, book.registry)
        case Wish():
            return _answer(walk, found, own, languages)


def answers_what_waits(walk: Walk, typed: str) -> bool:
    """Whether a question by SMS waits, and this answers it."""
    session = walk.session
    if session is None or session.place != walk.place or not walk.can_be_found() or not walk.still_asks_the_kind():
        return False
    ask = walk.screen.ask
    if key_of(typed, ask, walk.voice) is not None:
        return True
    if ask is None:
        return False
    answer = understand(typed, ask, walk.voice, walk.book.registry, walk.today, sown=walk.sown(ask))
    return isinstance(answer, Taken) or other_answer(walk, typed) is not None


def _language_of(book: Book, spoken: frozenset[str]) -> str:
    """The first of the programme's languages among several, the default where there are none."""
    return next((language for language in book.voices if language in spoken), book.default_language)


def _languages(book: Book, own: str, words: tuple[str, ...]) -> list[str]:
    """The languages in the order in which they are likely: the grower's own, then that of most words."""
    weight = dict.fromkeys(book.voices, 0)
    for word in words:
        spoken = book.vocabulary.meant.get(word)
        for language in spoken or ():
            weight[language] += 2
        if spoken is None and not own and not any(map(str.isdigit, word)):
            for language in nearest(word, book.vocabulary.languages)[1]:
                weight[language] += 1
    return sorted(book.voices, key=lambda language: (language != own, -weight[language]))


def _answer(walk: Walk, wish: Wish, own: str, languages: list[str]) -> str | None:
    book, keyword = walk.book, walk.book.keywords[wish.keyword]
    language = languages[0]
    if keyword.asked is None or keyword.question is None:
        return _say(walk, keyword, {}, book.voices[language]) if _asks_for_it(wish) else None
    told = None if wish.plain else _facts(walk).get(keyword.asked.keep)
    if wish.plain:
        understood, language = _understood(walk, wish, keyword.question, languages)
        if isinstance(understood, Slip):
            return _not_understood(book, wish, keyword.question, understood, language)
        told = understood.value
    voice = book.voices[own or language]
    if told is None:
        return write_like(keyword, voice, book.registry)
    return _say(walk, keyword, {keyword.asked.keep: told}, voice)


def own_answer(walk: Walk, name: str) -> str | None:
    """The answer of a keyword from what is known of the grower alone.

    Args:
        walk: of somebody who has typed nothing.
        name: the keyword, which the book has.

    Returns:
        One message, proven to fit; None where what the keyword asks is not known, or the calculator refuses it.
    """
    keyword = walk.book.keywords[name]
    told: dict[str, object] = {}
    if keyword.asked is not None:
        known = _facts(walk).get(keyword.asked.keep)
        if known is None:
            return None
        told = {keyword.asked.keep: known}
    aside = _aside(walk, keyword, told, walk.held.language)
    try:
        aside.arrive(again=True)
        return whole_text(aside)
    except (*REFUSED, Missing):
        return None


def _asks_for_it(wish: Wish) -> bool:
    """Whether a keyword without an amount is asked for: by itself, or exactly among few words, not in a tale."""
    return not wish.plain or (wish.exact and len(wish.plain.split()) < FEW_WORDS)


def _say(walk: Walk, keyword: Keyword, told: Mapping[str, object], voice: Voice) -> str:
    """The answer of a keyword for what was told beside it, or why there is none."""
    book, aside = walk.book, _aside(walk, keyword, told, voice.language)
    try:
        aside.arrive(again=True)
        return whole_text(aside)
    except REFUSED as error:
        return reason(notice_of(error), keyword, voice, book.registry)


def _not_understood(book: Book, wish: Wish, question: Ask, slip: Slip, language: str) -> str | None:
    voice = book.voices[language]
    unknown = [word for word in map(folded, wish.plain.split()) if word not in book.vocabulary.meant]
    endings = [ending for word in unknown for ending in near_endings(word, book.vocabulary)]
    if endings:
        return write_to_end(book.vocabulary.endings[endings[0]], voice)
    if not wish.exact and not any(map(str.isdigit, wish.rest)):
        return None  # a word a little like a keyword, in a message about something else
    keyword = book.keywords[wish.keyword]
    if _is_amount_among_others(wish, question, slip, book.vocabulary):
        return write_like(keyword, voice, book.registry)
    return reason(slip.notice, keyword, voice, book.registry)


def _is_amount_among_others(wish: Wish, question: Ask, slip: Slip, vocabulary: Vocabulary) -> bool:
    """Whether there is a number, or its unit is known, so that what is wrong are the words around them."""
    if slip.notice == "unknown_unit":
        known = {word for word, _ in vocabulary.areas}
        return any(folded(word) in known for word in wish.plain.split())
    is_no_amount = slip.notice == ("not_a_count" if question.kind is AskKind.COUNT_OF else "not_a_number")
    return is_no_amount and any(map(str.isdigit, wish.plain))


def _facts(walk: Walk) -> dict[str, object]:
    """What is known and fresh of grower, plot and lot, be it from the record or from the open conversation."""
    return {name: value for name, value in walk.held.known().items() if "." in name}


def _aside(walk: Walk, keyword: Keyword, told: Mapping[str, object], language: str) -> Walk:
    """A walk at the answer of a keyword, with what is known and what the keyword assumes."""
    facts = _facts(walk)
    missing = {fact: value for fact, value in keyword.declared.assumes if fact not in facts}
    # Of a lot that is assumed nothing is known: a test of another lot must not be taken for one of this.
    scopes = {fact.split(".")[0] for fact in missing}
    kept = {fact: value for fact, value in facts.items() if fact.split(".")[0] not in scopes}
    spot = Spot(keyword.flow.name, keyword.declared.to)
    marks = {assumed(fact): True for fact in missing}
    aside = walk.aside(spot, {**kept, **missing, **marks, **told}, language)
    if scopes:
        # and it is none of the bags that are kept, whose number would stand above the answer
        kept_aside = tuple(one for one in aside.held.record.aside if one.scope not in scopes)
        aside.held.record = replace(aside.held.record, aside=kept_aside)
    return aside


def _understood(walk: Walk, wish: Wish, ask: Ask, languages: list[str]) -> tuple[Taken | Slip, str]:
    """The amount, and the language in which it was understood; a slip is that of the likeliest language."""
    book, sown = walk.book, walk.sown(ask)
    slip: Slip | None = None
    # Of a count of a count the words between the two numbers say nothing either.
    plain = wish.plain.replace(f" {BREAK} ", " ") if ask.kind is AskKind.COUNT_OF else wish.plain
    texts = (wish.rest,) if plain == wish.rest else (wish.rest, plain)
    for forgiving in (False, True):
        for language in languages:
            voice = book.voices[language]
            for text in texts:
                read = _with_units(text, ask, voice.glossary, book.vocabulary) if forgiving else text
                if forgiving == (read == text) or not _may_be_read(read, ask, language, book.vocabulary):
                    continue
                found = understand(read, ask, voice, book.registry, sown=sown)
                if isinstance(found, Taken):
                    return found, language
                slip = found if slip is None or found.notice in ("too_small", "too_big") else slip
    if slip is None:
        return understand(texts[-1], ask, book.voices[languages[0]], book.registry, sown=sown), languages[0]
    return slip, languages[0]


def _may_be_read(text: str, ask: Ask, language: str, vocabulary: Vocabulary) -> bool:
    """Whether it is worth reading in a language: an area with a word that the language lacks is not understood."""
    if ask.kind is not AskKind.AREA:
        return True
    words = folded(text).split()
    return all(language in vocabulary.meant.get(word, ()) or any(map(str.isdigit, word)) for word in words)


def _with_units(text: str, ask: Ask, glossary: Glossary, vocabulary: Vocabulary) -> str:
    """What was typed, with a word that can only be meant for one unit as that unit's word."""
    if ask.kind is not AskKind.AREA:
        return text
    return " ".join(_unit_meant(word, glossary, vocabulary) for word in _BEFORE_A_UNIT.sub(" ", text).split())


def _unit_meant(word: str, glossary: Glossary, vocabulary: Vocabulary) -> str:
    plain = folded(word)
    if plain in vocabulary.meant or any(map(str.isdigit, plain)) or near_endings(plain, vocabulary):
        return word
    if plain in _OTHER_MEASURES:
        return word
    units = [known for known, _ in glossary.units]
    near = [(off, *glossary.units[place]) for off, place in all_slips(plain, units)]
    if not near:
        return word
    least, meant, unit = min(near)
    rivals = {other for off, _, other in near if off == least}
    # Too near to a word of another measure of area, and the field could be taken for one of another size.
    areas = [(known, other) for known, other in vocabulary.areas if len(known) >= LEAST_LETTERS]
    rivals |= {areas[place][1] for _, place in all_near(plain, [known for known, _ in areas])}
    return meant if rivals == {unit} else word
