"""One language of one programme, ready to speak: the only way that text leaves."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from unicodedata import normalize

from babel import Locale

from advisor.agronomy.labels import Currency
from advisor.wording.catalogs import Catalog
from advisor.wording.errors import Mismatch, NotInAlphabet
from advisor.wording.glossary import Glossary
from advisor.wording.gsm import LINE_ENDS, gsm_safe, outside
from advisor.wording.languages import locale_of
from advisor.wording.segments import Alphabet
from advisor.wording.templates import fill, fill_with
from advisor.wording.units import units_of

_CONTROLS = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x9f\ufeff]")


@dataclass(frozen=True, slots=True)
class Voice:
    """Everything that turns values into the words of one language.

    A message that is not translated is said in English: a grower is better off with a sentence of the wrong
    language than with none. The check before the start finds every such message and refuses to serve.

    Args:
        catalog: translations.
        glossary: small words, of the same language.
        currency: money of the programme, in signs that the alphabet has.
        area_unit: unit that the programme's people measure fields in: ``acre``, ``hectare`` or ``m2``.

    Raises:
        Mismatch: the parts do not belong together.
        NotInAlphabet: the currency's sign cannot be sent.
        UnknownLanguage: the locale data do not hold the language.
    """

    catalog: Catalog
    glossary: Glossary
    currency: Currency
    area_unit: str
    #: Finished messages that name no values, most of what is said; as many as the flows have.
    _said: dict[tuple[str, str], str] = field(default_factory=dict, init=False, compare=False, repr=False)
    #: The widest words of each kind of value that was looked at, see `Kind.widest`.
    widest: dict[object, str] = field(default_factory=dict, init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        if self.catalog.language != self.glossary.language:
            raise Mismatch(
                f"catalog in {self.catalog.language}, glossary in {self.glossary.language}: take one language"
            )
        if self.area_unit not in units_of("area"):
            raise Mismatch(f"area unit {self.area_unit!r}: use one of {', '.join(units_of('area'))}")
        symbol = self.out(self.currency.symbol)
        if self.alphabet is Alphabet.GSM7 and outside(symbol):
            raise NotInAlphabet(symbol, outside(symbol))
        locale_of(self.language)

    @property
    def language(self) -> str:
        """Language code."""
        return self.catalog.language

    @property
    def alphabet(self) -> Alphabet:
        """The alphabet that the texts travel in."""
        return self.glossary.alphabet

    @property
    def locale(self) -> Locale:
        """Handle on the locale data of the language."""
        return locale_of(self.language)

    def out(self, text: str) -> str:
        """A text ready to send: the one way out.

        In the GSM alphabet every sign is made one of it (see ``gsm_safe``); otherwise accents are composed and
        control characters dropped. Applied twice it changes nothing more.
        """
        if self.alphabet is Alphabet.GSM7:
            return gsm_safe(text)
        if text.isascii() and text.isprintable():
            return text
        return normalize("NFC", _CONTROLS.sub("", LINE_ENDS.sub("\n", text))).replace("\t", " ")

    def say(self, context: str, msgid: str, /, **values: str) -> str:
        """A message with its values.

        Args:
            context: ``flow.screen``.
            msgid: the English text.
            values: a finished text for each placeholder.

        Raises:
            WrongValues: the values are not those the message names.
        """
        if values:
            return self.out(fill(self._translated(context, msgid), values))
        said = self._said.get((context, msgid))
        if said is None:
            said = self._said[context, msgid] = self.out(fill(self._translated(context, msgid), {}))
        return said

    def say_with(self, context: str, msgid: str, words: Callable[[str], str], /) -> str:
        """A message whose values are asked for by name."""
        return self.out(fill_with(self._translated(context, msgid), words))

    def plural(self, context: str, msgid: str, plural: str, count: int, /, **values: str) -> str:
        """A counted message with its values.

        Args:
            context: ``flow.screen``.
            msgid: the English singular.
            plural: the English plural.
            count: a whole count, which only chooses the form; its text is a value like any other.
            values: a finished text for each placeholder.
        """
        return self.out(fill(self._counted(context, msgid, plural, count), values))

    def plural_with(
        self, context: str, msgid: str, plural: str, count: int, words: Callable[[str], str], /
    ) -> str:
        """A counted message whose values are asked for by name."""
        return self.out(fill_with(self._counted(context, msgid, plural, count), words))

    def _translated(self, context: str, msgid: str) -> str:
        found = self.catalog.message(context, msgid)
        return msgid if found is None else found

    def _counted(self, context: str, msgid: str, plural: str, count: int) -> str:
        found = self.catalog.plural(context, msgid, plural, count)
        if found is None:
            return msgid if count == 1 else plural
        return found
