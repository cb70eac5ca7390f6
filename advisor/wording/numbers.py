"""Numbers, money, percentages and dates in a language: digits 0-9 always, every sign fit to send.

Rounding is half up on the decimal digits that the number means: 2.675 to two places is 2.68, though the float
nearest to it lies below. So a quantity to buy is never shown lower than needed by more than half a unit in the
last place, and neither is anything else.
"""

from __future__ import annotations

from datetime import date
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import lru_cache
from typing import TypeAlias
from unicodedata import normalize

from babel.dates import format_date
from babel.numbers import format_decimal, format_percent

from advisor.wording.gsm import outside
from advisor.wording.languages import locale_of
from advisor.wording.segments import Alphabet
from advisor.wording.voice import Voice

Quantity: TypeAlias = int | float | Decimal

# What a float in this project can be believed to: sums of floats are off in the sixteenth digit, never in these.
SIGNIFICANT = Context(prec=12)
_WIDE = Context(prec=40, rounding=ROUND_HALF_UP)
_NONE = Decimal(0)


def exact(value: Quantity) -> Decimal:
    """The decimal number that a value means; of a float its first twelve digits.

    >>> exact(0.1 + 0.2) == Decimal("0.3"), exact(2), exact(Decimal("0.30"))
    (True, Decimal('2'), Decimal('0.30'))
    """
    return _of_float(value) if isinstance(value, float) else Decimal(value)


@lru_cache(maxsize=16384)
def _of_float(value: float) -> Decimal:
    return SIGNIFICANT.create_decimal(repr(value)) + _NONE


def fixed(value: Quantity, decimals: int) -> Decimal:
    """A value rounded half up, with all its decimals.

    >>> fixed(2.675, 2), fixed(1.005 * 100, 0), fixed(-0.004, 2)
    (Decimal('2.68'), Decimal('101'), Decimal('0.00'))
    """
    rounded = exact(value).quantize(_NONE.scaleb(-decimals), context=_WIDE)
    return rounded if rounded else abs(rounded)


def trimmed(value: Quantity, decimals: int) -> Decimal:
    """A value rounded half up, without the zeros that a reader does not need.

    >>> trimmed(2.501, 2), trimmed(2.0, 2), trimmed(100, 0)
    (Decimal('2.5'), Decimal('2'), Decimal('100'))
    """
    rounded = fixed(value, decimals)
    whole = rounded.to_integral_value(context=_WIDE)
    return whole if rounded == whole else rounded.normalize(_WIDE)


def number(value: Quantity, voice: Voice, decimals: int = 0) -> str:
    """A number, grouped as the language does, with at most the decimals asked for.

    Args:
        value: the number.
        voice: the language.
        decimals: most digits after the sign, 0 or more; trailing zeros are left out.
    """
    return voice.out(shortest(value, decimals, voice.language)[1])


def money(amount: Quantity, voice: Voice) -> str:
    """A sum of money: the programme's sign, then the amount with as many decimals as its currency has.

    Args:
        amount: the sum in the programme's currency.
        voice: the language and the currency.
    """
    sign, digits = _sum(amount, voice.currency.decimals, voice.language)
    return voice.out(f"{sign}{voice.currency.symbol} {digits}")


def percent(fraction: Quantity, voice: Voice) -> str:
    """A fraction as a whole percentage.

    Args:
        fraction: 0 to 1.
        voice: the language.
    """
    return voice.out(_percent(fraction, voice.language))


def day_and_month(day: date, voice: Voice) -> str:
    """A date without its year, the month short: ``12 Mar``.

    The month's name comes from the locale data, so nobody can settle a letter that the alphabet lacks: it goes
    without its accent, ``3 aout`` in French.
    """
    said = voice.out(_day(day.month, day.day, voice.language))
    return said if voice.alphabet is Alphabet.UCS2 else _without_accents(said, outside(said))


def _without_accents(text: str, letters: str) -> str:
    for letter in letters:
        text = text.replace(letter, normalize("NFD", letter)[0])
    return text


@lru_cache(maxsize=16384)
def grouped(shown: Decimal, language: str) -> str:
    """A finished number in the signs of a language; it may still hold an odd space, so ``Voice.out`` comes after.

    >>> grouped(Decimal("1234567.5"), "hi"), grouped(Decimal("1234567.5"), "fr")
    ('12,34,567.5', '1\\u202f234\\u202f567,5')
    """
    return format_decimal(shown, locale=locale_of(language), decimal_quantization=False)


@lru_cache(maxsize=16384)
def shortest(value: Quantity, decimals: int, language: str) -> tuple[Decimal, str]:
    """A value trimmed (see ``trimmed``), and in the signs of a language (see ``grouped``)."""
    shown = trimmed(value, decimals)
    return shown, grouped(shown, language)


@lru_cache(maxsize=4096)
def _sum(amount: Quantity, decimals: int, language: str) -> tuple[str, str]:
    value = fixed(amount, decimals)
    return "-" if value < 0 else "", _with_decimals(abs(value), language)


def _with_decimals(shown: Decimal, language: str) -> str:
    exponent = shown.as_tuple().exponent
    decimals = -exponent if isinstance(exponent, int) else 0
    return _padded(str(shown), decimals, language)


@lru_cache(maxsize=16384)
def _padded(shown: str, decimals: int, language: str) -> str:
    locale = locale_of(language)
    whole = locale.decimal_formats[None].pattern.split(";")[0].split(".")[0]
    pattern = f"{whole}.{'0' * decimals}" if decimals else whole
    return format_decimal(Decimal(shown), format=pattern, locale=locale)


@lru_cache(maxsize=1024)
def _percent(fraction: Quantity, language: str) -> str:
    return format_percent(fixed(exact(fraction) * 100, 0) / 100, locale=locale_of(language))


@lru_cache(maxsize=4096)
def _day(month: int, day: int, language: str) -> str:
    # Any leap year will do: the text holds no year, and 29 February must exist. The stop of a shortened month is
    # left out, since a day so often ends a sentence: "10 nov.." reads like a slip.
    return format_date(date(2000, month, day), "d MMM", locale=locale_of(language)).removesuffix(".")
