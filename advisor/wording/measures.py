"""Quantities with their units as people say them: "2.5 acres", "kg 50", "250 g", "126 steps".

A measure enters a message as one finished text. The glossary's pattern for a unit comes first, the locale data's
short form second.
"""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from babel.units import format_unit

from advisor.wording.languages import locale_of, plural_category
from advisor.wording.numbers import SIGNIFICANT, Quantity, grouped, shortest
from advisor.wording.units import UNITS
from advisor.wording.voice import Voice

# Numbers that between them take every plural category a language has, small ones first.
_PROBES = (*map(Decimal, range(2, 200)), Decimal(1), Decimal(0), Decimal("1.5"), Decimal("0.1"), Decimal(10**6))


@lru_cache(maxsize=16384)
def in_unit(si: Quantity, unit: str) -> Decimal:
    """A quantity in m², kg or m counted in a unit.

    >>> in_unit(10117.141056, "acre") == Decimal("2.5"), in_unit(0.25, "g") == 250
    (True, True)
    """
    # Rounded once, after the division: rounded before it as well, 3.68 acres would come back as 3.67999999999.
    return SIGNIFICANT.divide(Decimal(si), UNITS[unit].si)


def si_of(unit: str) -> Decimal:
    """How many m², kg or m a unit is; 1 for no unit."""
    return UNITS[unit].si if unit else Decimal(1)


def measure(quantity: Quantity, unit: str, voice: Voice, decimals: int = 0) -> str:
    """A quantity with its unit.

    Args:
        quantity: how many of the unit.
        unit: a key of ``UNITS``.
        voice: the language.
        decimals: most digits after the sign; trailing zeros are left out.
    """
    shown, digits = shortest(quantity, decimals, voice.language)
    category = _category(shown, voice.language)
    pattern = voice.glossary.pattern(unit, category) or _cldr_pattern(unit, category, voice.language)
    return voice.out(pattern.replace("{0}", digits))


def around(amounts: str, unit: str, voice: Voice) -> str:
    """A finished sum of amounts with its unit, in the form for many.

    Args:
        amounts: the amounts as they are said, for example ``2x25 + 1x5``.
        unit: a key of ``UNITS``.
        voice: the language.
    """
    pattern = voice.glossary.pattern(unit, "other") or _cldr_pattern(unit, "other", voice.language)
    return voice.out(pattern.replace("{0}", amounts))


def unit_name(unit: str, voice: Voice) -> str:
    """What many of a unit are called, without a number: ``acres``."""
    return around("", unit, voice).strip()


def area(area_m2: Quantity, voice: Voice, decimals: int = 2) -> str:
    """An area in the programme's unit."""
    return measure(in_unit(area_m2, voice.area_unit), voice.area_unit, voice, decimals)


def mass(mass_kg: Quantity, unit: str, voice: Voice, decimals: int = 0) -> str:
    """A mass in ``kg`` or ``g``."""
    return measure(in_unit(mass_kg, unit), unit, voice, decimals)


def length(length_m: Quantity, unit: str, voice: Voice, decimals: int = 0) -> str:
    """A length in ``m`` or ``cm``."""
    return measure(in_unit(length_m, unit), unit, voice, decimals)


def steps(count: int, voice: Voice) -> str:
    """A number of paces."""
    return measure(count, "step", voice)


@lru_cache(maxsize=16384)
def _category(shown: Decimal, language: str) -> str:
    # Kept for trimmed numbers only: 1 and 1.0 are equal to a cache and differ in plural form.
    return plural_category(shown, language)


@lru_cache(maxsize=512)
def _cldr_pattern(unit: str, category: str, language: str) -> str:
    """The short form of a unit in the locale data, ``{0}`` for the number."""
    locale = locale_of(language)
    probe = next((probe for probe in _PROBES if plural_category(probe, language) == category), _PROBES[0])
    text = format_unit(probe, UNITS[unit].cldr, "short", locale=locale)
    return text.replace(grouped(probe, language), "{0}", 1)
