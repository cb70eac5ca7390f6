"""Small slips of spelling: how far a typed word may be from the one that is meant.

The distance is the number of letters left out, put in, put for another, or swapped with their neighbour (optimal
string alignment). One is forgiven in words of four to seven letters, two in longer ones, none in shorter ones,
where too many other words are as near (common practice, no source). A letter is a code point of the folded word:
a vowel sign of Devanagari counts as one.
"""

from __future__ import annotations

from collections.abc import Iterable

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


def is_near(typed: str, word: str) -> bool:
    """Whether a word is so near that it may be meant, be it forgiven or not.

    >>> is_near("hekar", "hekta"), is_near("acers", "hekta")
    (True, False)
    """
    return OSA.distance(typed, word, score_cutoff=MOST_SLIPS) <= MOST_SLIPS


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
    least, meanings, letters = 0, frozenset[str](), len(typed)
    for word, meaning in words:
        if abs(len(word) - letters) > MOST_SLIPS:
            continue  # most words are left out here, and this runs for every word of a message
        found = slips(typed, word)
        if found is None:
            continue
        if not meanings or found < least:
            least, meanings = found, frozenset({meaning})
        elif found == least:
            meanings |= {meaning}
    return least, meanings
