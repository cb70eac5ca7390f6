"""Languages as the locale data know them: the handle, and which plural form a number takes.

The locale data are read from disk when a language is first met; whoever loads the catalogs warms them.
"""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache
from gettext import c2py

from babel import Locale, UnknownLocaleError
from babel.plural import to_gettext

from advisor.wording.errors import UnknownLanguage

_ORDER = ("zero", "one", "two", "few", "many", "other")
# Every rule on whole numbers in CLDR 47 shows all its categories up to here, but for the millions of French and
# Portuguese ("many"), which PO catalogs leave to "other" by custom.
_PROBED = 201


@lru_cache(maxsize=64)
def locale_of(language: str) -> Locale:
    """The locale handle of a language code such as ``sw`` or ``pt_MZ``.

    Raises:
        UnknownLanguage: the locale data do not hold it.

    >>> locale_of("sw").english_name
    'Swahili'
    """
    try:
        return Locale.parse(language)
    except (UnknownLocaleError, ValueError, TypeError) as error:
        raise UnknownLanguage(language) from error


def plural_category(number: int | Decimal, language: str) -> str:
    """The CLDR plural category of a number as it is shown; trailing zeros count, so trim them first.

    >>> plural_category(0, "hi"), plural_category(0, "sw"), plural_category(Decimal("1.5"), "fr")
    ('one', 'other', 'one')
    """
    # by what is shown: 1 and 1.0 are equal numbers of different forms in many languages
    return _category(str(number), isinstance(number, int), language)


@lru_cache(maxsize=65536)
def _category(shown: str, is_whole: bool, language: str) -> str:
    return locale_of(language).plural_form(int(shown) if is_whole else Decimal(shown))


@lru_cache(maxsize=64)
def plural_forms(language: str) -> tuple[str, ...]:
    """The categories that whole counts take, in the order of a catalog's ``msgstr[0]``, ``msgstr[1]``.

    >>> plural_forms("hi"), plural_forms("ar")
    (('one', 'other'), ('zero', 'one', 'two', 'few', 'many', 'other'))
    """
    met = {plural_category(count, language) for count in range(_PROBED)}
    return tuple(category for category in _ORDER if category in met)


def plural_index(count: int, language: str) -> int:
    """Which ``msgstr[…]`` a whole count takes.

    >>> [plural_index(count, "hi") for count in (0, 1, 2)], [plural_index(count, "sw") for count in (0, 1, 2)]
    ([0, 0, 1], [1, 0, 1])
    """
    forms = plural_forms(language)
    category = plural_category(count, language)
    return forms.index(category) if category in forms else len(forms) - 1


def header_agrees(expression: str, nplurals: int, language: str) -> bool:
    """Whether a catalog's own plural expression chooses the forms as CLDR does.

    Args:
        expression: the C expression of the header, for example ``n > 1``.
        nplurals: the number of forms that the header declares.
        language: language of the catalog.

    >>> header_agrees("(n > 1)", 2, "hi"), header_agrees("(n != 1)", 2, "hi")
    (True, False)
    """
    if nplurals != len(plural_forms(language)):
        return False
    try:
        chosen = c2py(expression)
        return all(chosen(count) == plural_index(count, language) for count in range(_PROBED))
    except (ValueError, RecursionError, ZeroDivisionError):
        return False


def header_rule(language: str) -> str:
    """The ``Plural-Forms`` of a catalog's header, made of the rule of the locale data.

    The library's own list of such headers is older than its locale data and differs from them for some languages.

    >>> header_rule("fr"), header_rule("yo")
    ('nplurals=2; plural=(n > 1);', 'nplurals=1; plural=0;')
    """
    forms = plural_forms(language)
    for usual in ("0", "(n != 1)", "(n > 1)"):
        if header_agrees(usual, len(forms), language):
            return f"nplurals={len(forms)}; plural={usual};"
    rules = locale_of(language).plural_form.rules
    return str(to_gettext({category: rule for category, rule in rules.items() if category in forms}))
