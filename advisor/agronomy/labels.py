"""Names that a programme gives to things (villages, products, crops, units), in each of its languages."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Label:
    """A name with its forms in other languages.

    Args:
        default: the name where a language has no form of its own.
        by_language: pairs of language code and name.

    >>> Label("soybean", (("sw", "soya"),)).in_language("sw")
    'soya'
    >>> Label("soybean", (("sw", "soya"),)).in_language("fr")
    'soybean'
    """

    default: str
    by_language: tuple[tuple[str, str], ...] = ()

    def in_language(self, language: str) -> str:
        """The name in a language."""
        return dict(self.by_language).get(language, self.default)


@dataclass(frozen=True, slots=True)
class Currency:
    """The money of a programme.

    Args:
        symbol: what people write before an amount, one-septet letters.
        decimals: digits after the point in prices, 0 to 2.
    """

    symbol: str
    decimals: int
