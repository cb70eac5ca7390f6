"""Small slips of spelling: how far a typed word may be from the one that is meant.

The distance is the number of letters left out, put in, put for another, or swapped with their neighbour (optimal
string alignment). One is forgiven in words of four to seven letters, two in longer ones, none in shorter ones,
where too many other words are as near (common practice, no source). A letter is a code point of the folded word:
a vowel sign of Devanagari counts as one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rapidfuzz import process
from rapidfuzz.distance import OSA

#: Words with fewer letters must be exact.
LEAST_LETTERS = 4
#: Words with so many letters may be two slips off.
LONG_LETTERS = 8
#: Two slips are never too far for a word to be meant.
MOST_SLIPS = 2


def forgiven(word: str) -> int:
    """How many slips are forgiven in a word.

    >>> forgiven("soy"), forgiven("soya"), forgiven("soyabean")
    (0, 1, 2)
    """
    if len(word) < LEAST_LETTERS:
        return 0
    return 1 if len(word) < LONG_LETTERS else MOST_SLIPS


def slips(typed: str, word: str) -> int | None:
    """How many slips lie between what was typed and a word, None where they are too many.

    Args:
        typed: a folded word.
        word: the folded word that may be meant.

    >>> slips("saya", "soya"), slips("osya", "soya"), slips("sorghum", "soya")
    (1, 1, None)
    """
    most = forgiven(word)
    if abs(len(typed) - len(word)) > most:
        return None
    found = OSA.distance(typed, word, score_cutoff=most)
    return found if found <= most else None


def all_slips(typed: str, words: Sequence[str]) -> list[tuple[int, int]]:
    """Of many words those that may be meant, the nearest first: how many slips away, and the place in the list.

    >>> all_slips("saya", ["soya", "maize", "sava", "saya"])
    [(0, 3), (1, 0), (1, 2)]
    """
    return [(off, place) for off, place in all_near(typed, words) if off <= forgiven(words[place])]


def all_near(typed: str, words: Sequence[str]) -> list[tuple[int, int]]:
    """As `all_slips`, with those too whose slips are not forgiven.

    >>> all_near("hekar", ["acres", "hekta", "ekar"])
    [(1, 2), (2, 1)]
    """
    found = process.extract(typed, words, scorer=OSA.distance, processor=None, limit=None, score_cutoff=MOST_SLIPS)
    return sorted((int(off), place) for _, off, place in found)


def nearest(typed: str, words: Iterable[tuple[str, str]]) -> tuple[int, frozenset[str]]:
    """What the nearest words mean.

    Args:
        typed: a folded word.
        words: pairs of folded word and meaning.

    Returns:
        The number of slips and every meaning that is so near; no meaning where no word is near enough.

    >>> nearest("beas", [("peas", "pea"), ("teas", "tea"), ("soya", "soya")]) == (1, frozenset({"pea", "tea"}))
    True
    >>> nearest("maize", [("soya", "soya")])
    (0, frozenset())
    """
    pairs = tuple(words)
    near = all_slips(typed, [word for word, _ in pairs])
    least = near[0][0] if near else 0
    return least, frozenset(pairs[place][1] for off, place in near if off == least)
