"""The number words of a language and what a run of them comes to: ``two and a half``, ``elfu mbili``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

_HALF = Fraction(1, 2)
_HUNDRED = 100
_ABOVE_ALL = 10**9
_LONGEST_PHRASE = 4

#: A value and the place behind its last word.
_Found = tuple[Fraction, int]


@dataclass(frozen=True, slots=True)
class NumberWords:
    """What counts in a language. All words are folded; those of several parts have one space between them.

    What would have two meanings is not read, or only as far as it has one: the rest then makes no sense and the
    answer is asked for again.

    Args:
        values: word and its value, 0 to 99.
        scales: word for a hundred, a thousand and so on, and its value.
        scale_first: the count stands behind the hundred or the thousand: ``elfu mbili`` is two thousand.
        fractions: word and its value, such as a half; also words for one and a half.
        shifts: word in front of a number that adds to it or takes from it: ``सवा दो`` is 2 1/4.
        joins: words between the parts that say nothing: ``and``.
        points: words for the decimal point.
    """

    values: Mapping[str, int]
    scales: Mapping[str, int]
    scale_first: bool
    fractions: Mapping[str, Fraction]
    shifts: Mapping[str, Fraction]
    joins: frozenset[str]
    points: frozenset[str]
    _parts: frozenset[str] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        known = (*self.values, *self.scales, *self.fractions, *self.shifts, *self.joins, *self.points)
        object.__setattr__(self, "_parts", frozenset(part for word in known for part in word.split()))

    def are_in(self, words: Sequence[str]) -> bool:
        """Whether there is any number word among folded words; where not, no number in words begins anywhere."""
        return any(part in self._parts for word in words for part in word.split())

    def number_at(self, words: Sequence[str], start: int) -> _Found | None:
        """The longest number in words that begins at a place.

        Args:
            words: folded words, commas and plain numbers in digits, as they were typed.
            start: the place of its first word.

        Returns:
            Its value and the place behind it. None where no number begins, or one in digits alone.
        """
        found = self._round(words, start) or self._broken(words, start)
        if found is None or all(word[0].isdecimal() for word in words[start : found[1]]):
            return None
        return found

    def joined(self, words: Sequence[str], at: int) -> int:
        """The place behind a word that only joins two parts, the same place where none stands there."""
        return at + 1 if at < len(words) and words[at] in self.joins else at

    def _next_part(self, words: Sequence[str], at: int) -> int:
        """As ``joined``; a comma can stand before the rest too: ``elfu ishirini, moja`` is 20,001."""
        return at + 1 if at < len(words) and words[at] == "," else self.joined(words, at)

    def _round(self, words: Sequence[str], start: int) -> _Found | None:
        """Hundreds, thousands and what is below them: ``two thousand five hundred and ten``."""
        total, at, smallest = Fraction(0), start, _ABOVE_ALL
        while part := self._scaled(words, at if at == start else self._next_part(words, at), smallest):
            value, smallest, at = part
            total += value
        if at == start or total.denominator != 1:
            return None
        rest = self._small(words, self._next_part(words, at))
        return (total + rest[0], rest[1]) if rest and rest[0].denominator == 1 else (total, at)

    def _scaled(self, words: Sequence[str], at: int, below: int) -> tuple[Fraction, int, int] | None:
        """One part with its scale, smaller than the part before: value, scale, place behind."""
        if self.scale_first and (scale := _phrase(words, at, self.scales)):
            return self._count_behind(words, int(scale[0]), scale[1], below)
        count = self._broken(words, at) if below == _ABOVE_ALL else self._small(words, at)
        value, end = count or (Fraction(1), at)
        scale = _phrase(words, end, self.scales)
        if scale is None or (self.scale_first and self._small(words, scale[1])):
            return None
        size, end = int(scale[0]), scale[1]
        further = _phrase(words, end, self.scales)
        if further and size == _HUNDRED and further[0] > size:  # two hundred thousand
            value, size, end = value * size, int(further[0]), further[1]
        return (value * size, size, end) if size < below else None

    def _count_behind(
        self, words: Sequence[str], size: int, at: int, below: int
    ) -> tuple[Fraction, int, int] | None:
        """``elfu mbili``, and ``elfu`` alone for one thousand."""
        count = self._small(words, at)
        if size >= below:
            return None
        if count is None:
            # "elfu mia tano" is 500,000 and no way to say 1,500, which is "elfu moja mia tano".
            return None if _phrase(words, at, self.scales) else (Fraction(size), size, at)
        value, end = count
        return (value * size, size, end) if value.denominator == 1 and value >= 1 else None

    def _broken(self, words: Sequence[str], at: int) -> _Found | None:
        """A number below a hundred with what goes beyond the whole: ``two and a half``, ``सवा दो``, ``डेढ़``."""
        shift = _phrase(words, at, self.shifts)
        shifted = self._small(words, shift[1]) if shift else None
        if shift and shifted:
            return shifted[0] + shift[0], shifted[1]
        part = _phrase(words, at, self.fractions)
        whole = self._small(words, at)
        if part and (whole is None or part[1] >= whole[1]):
            return part
        if whole is None or whole[0].denominator != 1:
            return whole
        between = self.joined(words, whole[1])
        part = _phrase(words, between, self.fractions) or _fraction_in_digits(words, between)
        # "two half" is two and a half; "two quarters" and its like could be either.
        if part and part[0] < 1 and (between > whole[1] or part[0] == _HALF):
            return whole[0] + part[0], part[1]
        return self._decimals(words, whole)

    def _decimals(self, words: Sequence[str], whole: _Found) -> _Found:
        """``two point five``, ``deux virgule vingt-cinq``; the whole alone where no point follows."""
        value, at = whole
        if at >= len(words) or words[at] not in self.points:
            return whole
        digits, at = "", at + 1
        while (digit := self._plain(words, at)) and digit[0].denominator == 1 and digit[0] < 10:
            digits, at = digits + str(digit[0]), digit[1]
        # "two point twenty five" is 2.25, and behind a zero 2.025
        if digits.strip("0") == "" and (part := self._small(words, at)) and part[0].denominator == 1:
            digits, at = digits + str(part[0]), part[1]
        return (value + Fraction(int(digits), 10 ** len(digits)), at) if digits else whole

    def _small(self, words: Sequence[str], at: int) -> _Found | None:
        """``twenty five``, ``ishirini na tano``, ``25``."""
        ten = self._plain(words, at)
        if ten is None or words[at][0].isdecimal() or ten[0] < 20 or ten[0] % 10:
            return ten
        after = self.joined(words, ten[1])
        unit = self._plain(words, after)
        if unit is None or words[after][0].isdecimal() or not 0 < unit[0] < 10:
            return ten
        return ten[0] + unit[0], unit[1]

    def _plain(self, words: Sequence[str], at: int) -> _Found | None:
        if at < len(words) and words[at][0].isdecimal():
            value = _in_digits(words[at])
            return None if value is None else (value, at + 1)
        return _phrase(words, at, self.values)


def _phrase(words: Sequence[str], at: int, known: Mapping[str, int] | Mapping[str, Fraction]) -> _Found | None:
    """The longest known word or group of words at a place."""
    for end in range(min(len(words), at + _LONGEST_PHRASE), at, -1):
        value = known.get(" ".join(words[at:end]))
        if value is not None:
            return Fraction(value), end
    return None


def _fraction_in_digits(words: Sequence[str], at: int) -> _Found | None:
    """The part of ``2 and 1/2``."""
    over, _, under = words[at].partition("/") if at < len(words) else ("", "", "")
    if len(over) == 1 and under.isdecimal() and len(under) <= 2 and 0 < int(over) < int(under):
        return Fraction(int(over), int(under)), at + 1
    return None


def _in_digits(word: str) -> Fraction | None:
    """A number in digits that can be nothing else; 2,500 could be two things."""
    whole, _, part = word.replace(",", ".").partition(".")
    if not (whole + part).isdecimal() or len(whole) > 6 or len(part) > 2:
        return None
    return Fraction(int(whole + part), 10 ** len(part))
