"""Translations: PO files read, looked up and compared with their English source.

The English text is the msgid and ``flow.screen`` its context, so an edited sentence leaves its translations
missing rather than silently old.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from babel.messages import catalog as babel_catalog

from advisor.wording.errors import MissingTranslation
from advisor.wording.languages import header_agrees, plural_forms, plural_index
from advisor.wording.po_files import heard

_PLURAL_HEADER = re.compile(r"\s*nplurals\s*=\s*(\d+)\s*;\s*plural\s*=\s*(.+?)\s*;?\s*")


@dataclass(frozen=True, slots=True)
class Entry:
    """One message of a catalog.

    Args:
        context: ``flow.screen``.
        msgid: the English text, of a counted message the singular.
        plural: the English plural, empty for a message that counts nothing.
        texts: the translation, one text a plural form.
        line: line of the msgid in the PO file, from 1.
    """

    context: str
    msgid: str
    plural: str
    texts: tuple[str, ...]
    line: int

    @property
    def translated(self) -> bool:
        """Whether every plural form has a text."""
        return all(self.texts)


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong in a catalog.

    Args:
        line: line in the PO file, from 1; 0 for what is not there at all.
        context: ``flow.screen``, empty for the header.
        msgid: the English text, empty for the header.
        what: what is wrong and what to do.
        untranslated: whether it is only a translation that is not there yet.
    """

    line: int
    context: str
    msgid: str
    what: str
    untranslated: bool = False


@dataclass(frozen=True, slots=True)
class Catalog:
    """The translations of one language. Equal when read from the same text.

    Args:
        language: language code.
        fingerprint: hash of the text it was read from.
        reviewed_by: who reviewed it, empty for a draft.
        entries: messages, without fuzzy ones.
        reading_faults: what was wrong in the file as a whole: header, repeats, fuzzy entries.
        repeats: of these the texts that stand there twice.
        is_source: whether it is the English source, in which every text stands for itself.
        file: how faults name its file, empty for ``locales/xx.po``.
    """

    language: str
    fingerprint: str
    reviewed_by: str = ""
    entries: tuple[Entry, ...] = field(default=(), compare=False, repr=False)
    reading_faults: tuple[Fault, ...] = field(default=(), compare=False, repr=False)
    repeats: tuple[Fault, ...] = field(default=(), compare=False, repr=False)
    is_source: bool = False
    file: str = field(default="", compare=False)
    _found: dict[tuple[str, str], Entry] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        found = {(entry.context, entry.msgid): entry for entry in reversed(self.entries) if entry.translated}
        object.__setattr__(self, "_found", found)

    @staticmethod
    def source(language: str) -> Catalog:
        """The catalog of the language that the texts are written in.

        >>> Catalog.source("en").message("buy_list.area", "How big is your field?")
        'How big is your field?'
        """
        return Catalog(language, f"source:{language}", "the authors", is_source=True)

    def message(self, context: str, msgid: str) -> str | None:
        """The translation of a message that counts nothing, None where there is none."""
        if self.is_source:
            return msgid
        entry = self._found.get((context, msgid))
        return entry.texts[0] if entry else None

    def plural(self, context: str, msgid: str, plural: str, count: int) -> str | None:
        """The translation of a message in the plural form that a whole count takes, None where there is none.

        Args:
            context: ``flow.screen``.
            msgid: the English singular.
            plural: the English plural; a translation of another plural is none of this message.
            count: what is counted; the CLDR rule of the language chooses, which the header agrees with.
        """
        if self.is_source:
            return (msgid, plural)[plural_index(count, self.language)]
        entry = self._found.get((context, msgid))
        if entry is None or entry.plural != plural:
            return None
        return entry.texts[min(plural_index(count, self.language), len(entry.texts) - 1)]

    def translation(self, context: str, msgid: str) -> str:
        """The translation of a message, for a check.

        Raises:
            MissingTranslation: there is none.
        """
        found = self.message(context, msgid)
        if found is None:
            raise MissingTranslation(self.language, context, msgid)
        return found


def read_catalog(po_text: str, language: str) -> Catalog:
    """Reads one PO file. Fuzzy entries are left out: what nobody confirmed is not said to a grower.

    Args:
        po_text: the file's text.
        language: language code, which its header must repeat.

    Raises:
        CatalogUnreadable: the text is no PO file.
        UnknownLanguage: the locale data do not hold the language.

    >>> catalog = read_catalog('msgctxt "seed.how"\\nmsgid "Yes"\\nmsgstr "Ndiyo"\\n', "sw")
    >>> catalog.message("seed.how", "Yes"), catalog.message("seed.how", "No")
    ('Ndiyo', None)
    """
    plural_forms(language)
    messages, _ = heard(po_text)
    header = _header(messages)
    own = [message for message in messages if message.id]
    entries = tuple(_entry(message) for message in own if not message.fuzzy)
    repeats = tuple(_repeats(own))
    faults = (*_header_faults(header, language), *repeats, *_fuzzy(own))
    return Catalog(
        language=language,
        fingerprint=hashlib.sha256(po_text.encode()).hexdigest()[:16],
        reviewed_by=header.get("x-reviewed-by", ""),
        entries=entries,
        reading_faults=faults,
        repeats=repeats,
    )


def _header(messages: list[babel_catalog.Message]) -> dict[str, str]:
    text = next((str(message.string) for message in messages if not message.id), "")
    pairs = (line.partition(":") for line in text.splitlines())
    return {name.strip().lower(): value.strip() for name, _, value in pairs}


def _entry(message: babel_catalog.Message) -> Entry:
    context, line = message.context or "", message.lineno or 0
    texts = message.string
    if isinstance(message.id, str):
        return Entry(context, message.id, "", (str(texts),), line)
    return Entry(context, message.id[0], message.id[1], tuple(map(str, texts or ())), line)


def _header_faults(header: dict[str, str], language: str) -> Iterable[Fault]:
    if header.get("language") != language:
        yield Fault(1, "", "", f'the header says "Language: {header.get("language", "")}": write {language}')
    form = _PLURAL_HEADER.fullmatch(header.get("plural-forms", ""))
    if not form or not header_agrees(form[2], int(form[1]), language):
        yield Fault(
            1,
            "",
            "",
            f"the header's Plural-Forms is not the rule of {language}, whose forms are "
            f"{', '.join(plural_forms(language))}: write it in the manner of nplurals=2; plural=(n > 1);",
        )


def _repeats(own: list[babel_catalog.Message]) -> Iterable[Fault]:
    first: dict[tuple[str, str], int] = {}
    for entry in map(_entry, own):
        line = first.setdefault((entry.context, entry.msgid), entry.line)
        if line != entry.line:
            yield Fault(entry.line, entry.context, entry.msgid, f"stands on line {line} already: keep one")


def _fuzzy(own: list[babel_catalog.Message]) -> Iterable[Fault]:
    for message in own:
        if message.fuzzy:
            entry = _entry(message)
            yield Fault(
                entry.line, entry.context, entry.msgid, "is fuzzy, so not used: check it, drop the mark", True
            )
