"""What an SMS in one line asks for, from its words alone; the amount beside the keyword is read later.

A keyword is found exactly, or with its slips of spelling forgiven. A message that may have been meant to stop
everything is never taken for anything else: a slip in STOP is answered with how to stop, and stops nothing.
"""

from __future__ import annotations

import re
from collections.abc import Set
from dataclasses import dataclass

from advisor.dialogue.one_line.keywords import Vocabulary
from advisor.dialogue.one_line.spelling import all_slips, nearest
from advisor.wording.folding import folded

#: In longer messages spelling is not forgiven: somebody is telling something.
MOST_WORDS = 12
#: Somebody who writes STOP with so few words around it wants to stop.
FEW_WORDS = 3

#: A message with so many words that mean nothing here, and no figure, tells something and is no line of keywords.
TALE_WORDS = 3
#: Where several keywords stand in it, fewer will do: a tale of a crop and its leaves asks for the list of neither.
TALE_WORDS_AMONG_SEVERAL = 2

_LETTERS = r"\w'’‘ʼ\u0300-\u036f\u0900-\u0963\u0966-\u097f"
# Signs between words go; those inside an amount stay (2.5, 1/2, .5), and those that make it another thing (%, /=).
_SIGN_CLASS = rf"[^{_LETTERS}\s%^$£¥€₹/]"
_SIGN = re.compile(
    rf"(?<=[0-9]){_SIGN_CLASS}(?![0-9])|(?<![0-9]){_SIGN_CLASS}(?!(?<=\.)[0-9])|(?<![0-9])/(?![0-9=])|_"
)
#: Stands in no number.
BREAK = ";"
#: ``word2`` is two words; whether ``word.5`` is 5 or .5 nobody knows, so the point keeps them together.
_GLUED = re.compile(r"(?P<word>[^0-9.]+)(?P<point>\.?)(?P<amount>[0-9].*)")


@dataclass(frozen=True, slots=True)
class Wish:
    """A message that asks for the answer of a keyword.

    Args:
        keyword: the keyword.
        rest: everything else that was typed.
        plain: the same without the words that say nothing.
        words: all words, folded, for telling their language.
        exact: whether the keyword was spelled as it should be.
    """

    keyword: str
    rest: str
    plain: str
    words: tuple[str, ...]
    exact: bool


@dataclass(frozen=True, slots=True)
class Unsure:
    """A message whose keyword may be one of several.

    Args:
        keywords: those it may be, in order.
        words: all words, folded.
    """

    keywords: tuple[str, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WayOut:
    """A message that looks like a command which is only taken when it is exact.

    Args:
        command: ``stop`` or ``erase``.
        words: all words, folded.
    """

    command: str
    words: tuple[str, ...]


def read_one_line(typed: str, vocabulary: Vocabulary) -> Wish | Unsure | WayOut | None:
    """What a message asks for in one line.

    Args:
        typed: what was typed, tidied.
        vocabulary: the words of all languages.

    Returns:
        None where it holds no keyword, and where it is exactly a command.
    """
    if folded(typed) in vocabulary.endings:
        return None
    typed_words = _SIGN.sub(" ", typed).split()
    raw = [part for word in typed_words for part in _parted(word, vocabulary)]
    words = tuple(map(folded, raw))
    core = [word for word in words if word not in vocabulary.asides]
    keywords = {vocabulary.keywords[word] for word in core if word in vocabulary.keywords}
    ended = [word for word in core if word in vocabulary.endings] or _phrases_in(words, vocabulary)
    if ended and (keywords or len(core) <= FEW_WORDS):
        return WayOut(vocabulary.endings[ended[0]], words)
    if keywords:
        named = {word for word in core if word in vocabulary.keywords}
        return _wish(keywords, named, raw, words, vocabulary, exact=True)
    if not core or len(core) > MOST_WORDS:
        return None
    found = _forgiving(raw, words, core, vocabulary)
    # Beside a word for stop or erase no slip is forgiven: "effacer mest donnees" means no test.
    return WayOut(vocabulary.endings[ended[0]], words) if ended and found is not None else found


def is_tale(found: Wish | Unsure, vocabulary: Vocabulary) -> bool:
    """Whether a message with a keyword in it is for people to read.

    Args:
        found: what it seems to ask for.
        vocabulary: the words of all languages.
    """
    unknown = [word for word in found.words if word not in vocabulary.meant]
    least = TALE_WORDS_AMONG_SEVERAL if isinstance(found, Unsure) else TALE_WORDS
    return len(unknown) >= least and not any(character.isdigit() for word in found.words for character in word)


def _phrases_in(words: tuple[str, ...], vocabulary: Vocabulary) -> list[str]:
    """The commands of several words that stand among others."""
    said = f" {' '.join(words)} "
    return [phrase for phrase in vocabulary.phrases if f" {phrase} " in said]


def _forgiving(
    raw: list[str], words: tuple[str, ...], core: list[str], vocabulary: Vocabulary
) -> Wish | Unsure | WayOut | None:
    """As above where no word is a keyword as it stands."""
    least, keywords, named = 0, frozenset[str](), set[str]()
    for word in core:
        if word in vocabulary.meant or any(map(str.isdigit, word)):
            continue
        endings = near_endings(word, vocabulary)
        if endings and len(core) == 1:
            return WayOut(vocabulary.endings[endings[0]], words)
        found, meanings = (0, frozenset[str]()) if endings else nearest(word, vocabulary.keywords.items())
        if meanings and (not keywords or found < least):
            least, keywords, named = found, meanings, {word}
        elif meanings and found == least:
            keywords |= meanings
            named.add(word)
    return _wish(keywords, named, raw, words, vocabulary, exact=False) if keywords else None


def near_endings(word: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The words of commands to be taken exactly that a word looks like, the nearest first."""
    endings = tuple(vocabulary.endings)
    return tuple(endings[place] for _, place in all_slips(word, endings))


def _wish(
    keywords: set[str] | frozenset[str],
    named: set[str],
    raw: list[str],
    words: tuple[str, ...],
    vocabulary: Vocabulary,
    *,
    exact: bool,
) -> Wish | Unsure:
    if len(keywords) > 1:
        return Unsure(tuple(sorted(keywords)), words)
    (keyword,) = keywords
    rest = _without(named, raw, words, vocabulary)
    return Wish(keyword, rest, _without(named | vocabulary.asides, raw, words, vocabulary), words, exact)


def _without(left_out: Set[str], raw: list[str], words: tuple[str, ...], vocabulary: Vocabulary) -> str:
    """What was typed without some words. Two numbers never become one: ``1 field 1/2 acre`` is not 1 1/2 acres."""
    kept: list[str] = []
    number_before = is_gap = False
    for part, word in zip(raw, words, strict=True):
        if word in left_out:
            is_gap = True
            continue
        is_number = word in vocabulary.numbers or any(map(str.isdigit, word))
        if is_gap and number_before and is_number:
            kept.append(BREAK)
        kept.append(part)
        number_before, is_gap = is_number, False
    return " ".join(kept)


def _parted(word: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    glued = _GLUED.fullmatch(word)
    if glued is None or folded(glued["word"]) not in vocabulary.keywords:
        return (word,)
    return (glued["word"], word if glued["point"] else glued["amount"])
