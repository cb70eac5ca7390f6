"""What is wrong in a catalog, each fault with its line: placeholders, plural forms, characters, gaps."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.wording.catalogs import Catalog, Entry, Fault
from advisor.wording.errors import BadPlaceholder
from advisor.wording.gsm import gsm_safe, outside
from advisor.wording.languages import plural_forms
from advisor.wording.segments import Alphabet
from advisor.wording.templates import placeholders


def catalog_faults(catalog: Catalog, alphabet: Alphabet) -> tuple[Fault, ...]:
    """Everything wrong in a catalog by itself, in the order of its lines.

    Args:
        catalog: the catalog.
        alphabet: the alphabet that its language declares.

    >>> from advisor.wording.catalogs import read_catalog
    >>> po = 'msgctxt "a.b"\\nmsgid "Buy %(dose)s"\\nmsgstr "Nunua"\\n'
    >>> [fault.what for fault in catalog_faults(read_catalog(po, "sw"), Alphabet.GSM7) if fault.context]
    ['form 0 does not name %(dose)s: name the same values as the English text']
    """
    found = [*catalog.reading_faults]
    for entry in catalog.entries:
        found += _entry_faults(entry, catalog, alphabet)
    return tuple(sorted(found, key=lambda fault: fault.line))


def missing_translations(catalog: Catalog, wanted: Iterable[tuple[str, str, str]]) -> tuple[Fault, ...]:
    """The messages that a catalog should translate and does not, but for those that stand there empty or fuzzy.

    Args:
        catalog: the catalog.
        wanted: context, English text and English plural (empty where nothing is counted) of each message.
    """
    found = []
    told = {(entry.context, entry.msgid) for entry in catalog.entries if not entry.translated}
    told |= {(fault.context, fault.msgid) for fault in catalog.reading_faults if fault.untranslated}
    for context, msgid, plural in wanted:
        if (context, msgid) in told:
            continue
        text = catalog.plural(context, msgid, plural, 1) if plural else catalog.message(context, msgid)
        if text is None:
            found.append(Fault(0, context, msgid, f"is not translated into {catalog.language}: add it"))
    return tuple(found)


def _entry_faults(entry: Entry, catalog: Catalog, alphabet: Alphabet) -> Iterable[Fault]:
    def fault(what: str) -> Fault:
        return Fault(entry.line, entry.context, entry.msgid, what)

    try:
        names = placeholders(entry.msgid) | (placeholders(entry.plural) if entry.plural else frozenset())
    except BadPlaceholder as error:
        yield fault(f"English text: {error}")
        return
    if not entry.translated:
        yield Fault(entry.line, entry.context, entry.msgid, "has an empty text: translate it", untranslated=True)
        return
    if entry.plural and len(entry.texts) != len(plural_forms(catalog.language)):
        yield fault(f"has {len(entry.texts)} forms, {catalog.language} has {len(plural_forms(catalog.language))}")
    for form, text in enumerate(entry.texts):
        for what in _text_faults(text, names, alphabet):
            yield fault(f"form {form} {what}")


def _text_faults(text: str, names: frozenset[str], alphabet: Alphabet) -> Iterable[str]:
    try:
        own = placeholders(text)
    except BadPlaceholder as error:
        yield f"has a faulty placeholder: {error}"
        return
    if names - own:
        named = ", ".join(f"%({name})s" for name in sorted(names - own))
        yield f"does not name {named}: name the same values as the English text"
    if own - names:
        named = ", ".join(f"%({name})s" for name in sorted(own - names))
        yield f"names {named}, which the English text does not: name the same values"
    foreign = outside(gsm_safe(text)) if alphabet is Alphabet.GSM7 else ""
    if foreign:
        yield f"holds {foreign}, which the GSM alphabet lacks: write it another way"
