"""Voices to speak with in tests."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from advisor.agronomy.labels import Currency
from advisor.wording.catalogs import Catalog, read_catalog
from advisor.wording.glossary import Glossary, read_glossary
from advisor.wording.voice import Voice

LOCALES = Path(__file__).parents[2] / "locales"
LANGUAGES = ("en", "sw", "hi", "fr")

PO = """
msgid ""
msgstr ""
"Language: {language}\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Plural-Forms: nplurals=2; plural={rule};\\n"
"X-Reviewed-By: \\n"

{entries}
"""


def glossary_text(language: str) -> str:
    """Text of a shipped glossary; of another language, English words with the locale data's own units."""
    if language in LANGUAGES:
        return (LOCALES / f"{language}.glossary.toml").read_text(encoding="utf-8")
    english = glossary_text("en").replace('language = "en"', f'language = "{language}"')
    return re.sub("(?m)^(acre|hectare) = {.*\n", "", english)


@cache
def glossary(language: str) -> Glossary:
    return read_glossary(glossary_text(language))


def po(language: str, entries: str, rule: str = "") -> str:
    """Text of a catalog with a sound header."""
    rules = {"hi": "(n > 1)", "fr": "(n > 1)"}
    return PO.format(language=language, entries=entries, rule=rule or rules.get(language, "(n != 1)"))


def catalog(language: str, entries: str) -> Catalog:
    return read_catalog(po(language, entries), language)


def voice(language: str, *, decimals: int = 0, area_unit: str = "acre", entries: str = "") -> Voice:
    found = Catalog.source("en") if language == "en" else catalog(language, entries)
    return Voice(found, glossary(language), Currency("Ul", decimals), area_unit)
