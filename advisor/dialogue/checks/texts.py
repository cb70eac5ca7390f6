"""Every text that a catalog must hold, and what is wrong with a catalog."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from advisor.dialogue.book import ALONE
from advisor.dialogue.checks.material import Material, line_with
from advisor.dialogue.faults import Fault, Wide
from advisor.dialogue.flows import Flow
from advisor.dialogue.notices import TEXTS
from advisor.dialogue.one_line.texts import ONE_LINE_TEXTS
from advisor.dialogue.screens import BACK, BACK_ZERO_TAKEN, ENGINE, HEADS, MORE
from advisor.dialogue.visit_texts import VISIT_TEXTS, widest_sentence
from advisor.wording.catalog_check import catalog_faults, missing_translations
from advisor.wording.catalogs import Catalog, Entry
from advisor.wording.catalogs import Fault as CatalogFault
from advisor.wording.errors import WordingError
from advisor.wording.gsm import gsm_safe, outside
from advisor.wording.segments import ROOM, Alphabet, cost
from advisor.wording.voice import Voice

_ENOUGH = 60


@dataclass(frozen=True, slots=True)
class TextFault:
    """A fault of one text, which cannot be shown before it is mended.

    Args:
        context: ``flow.screen`` or ``engine``, empty for a catalog as a whole.
        msgid: the English text.
        fault: what is wrong with it, None where that cannot be told yet.
    """

    context: str
    msgid: str
    fault: Fault | None


@dataclass(frozen=True, slots=True)
class _Place:
    file: str
    line: int


def texts_of(flow: Flow) -> Iterable[tuple[str, str, str, int]]:
    """Every text of a flow for the catalogs: context, source text, plural source text or empty, line."""
    for screen in flow.screens:
        context = f"{flow.name}.{screen.name}"
        if screen.say:
            yield context, screen.say.text, screen.say.other, screen.say.line
        if screen.help:
            yield context, screen.help, "", screen.help_line or screen.line
        for choice in screen.ask.options if screen.ask else ():
            yield context, choice.say, "", choice.line
        for line in screen.ask.lines if screen.ask else ():
            yield context, line.say, "", line.line


def engine_texts() -> tuple[str, ...]:
    """Every text of the engine itself for the catalogs, under the context ``engine``."""
    return (
        BACK,
        BACK_ZERO_TAKEN,
        MORE,
        *HEADS.values(),
        *ALONE,
        *TEXTS.values(),
        *ONE_LINE_TEXTS,
        *VISIT_TEXTS.values(),
    )


def text_faults(material: Material, voice: Voice) -> list[TextFault]:
    """What is wrong in a catalog by itself, what it does not translate, and what nobody says any more.

    Args:
        material: the flows.
        voice: the language; of the source language the texts of the flows themselves are looked at.
    """
    if voice.catalog.is_source:
        return list(_source_faults(material, voice))
    return list(_catalog_faults(material, voice.catalog, voice.alphabet))


def drafts_of(material: Material, voice: Voice) -> frozenset[str]:
    """The contexts in which a text is not translated yet."""
    catalog = voice.catalog
    return frozenset(
        context
        for context, text, other in _wanted(material)
        if (catalog.plural(context, text, other, 1) if other else catalog.message(context, text)) is None
    )


def mute_faults_of(material: Material, catalog: Catalog) -> Iterable[Fault]:
    """What can be told of the catalog of a language whose glossary or programme is faulty."""
    # Which alphabet it travels in stands in the glossary, so letters are looked at later.
    return faults_in(_catalog_faults(material, catalog, Alphabet.UCS2))


def faults_in(found: Iterable[TextFault]) -> Iterable[Fault]:
    """What can be told of them already."""
    return (one.fault for one in found if one.fault is not None)


def _wanted(material: Material) -> dict[tuple[str, str, str], _Place]:
    """Every text to translate: context, English text and plural, with the place where it stands."""
    wanted = {(ENGINE, text, ""): _Place("", 0) for text in engine_texts()}
    for flow in material.flows.values():
        for context, text, other, line in texts_of(flow):
            if text:
                wanted.setdefault((context, text, other), _Place(flow.file, line))
    return wanted


def _catalog_faults(material: Material, catalog: Catalog, alphabet: Alphabet) -> Iterator[TextFault]:
    wanted = _wanted(material)
    file = file_of(catalog)
    text = material.texts.get(file, "")
    places = {(context, msgid): place for (context, msgid, _), place in wanted.items()}
    stale = _stale(material, catalog, wanted)
    moved = {entry.context: entry for entry in stale}
    unsaid = {entry.line for entry in stale}
    counted = {entry.line for entry in catalog.entries if entry.plural}
    forms = {(entry.context, entry.msgid) for entry in catalog.entries if entry.plural}
    bad_rule = any("Plural-Forms" in found.what for found in catalog.reading_faults)
    for found in catalog_faults(catalog, alphabet):
        line = found.line if found.context or found.msgid else _header_line(text, found)
        if found.line in unsaid and found.context:
            continue  # that nobody says it comes first
        if bad_rule and found.line in counted:
            # How many forms there must be is not known before the header's rule is mended.
            yield TextFault(found.context, found.msgid, None)
        else:
            yield _text_fault(found, file, line, catalog.language)
    for found in missing_translations(catalog, wanted):
        place = places[found.context, found.msgid]
        if bad_rule and (found.context, found.msgid) in forms:
            continue
        what = f"'{_first_line(found.msgid)}' is not translated into {catalog.language}"
        old = moved.get(found.context)
        hint = f"; its line {old.line} is of no text any more: is it this one?" if old else ""
        where = (place.file, place.line) if place.file else (file, line_with(text, f'msgctxt "{ENGINE}"'))
        instead = f"add it to {file}, where 'advisor catalog update' begins the entry{hint}"
        fault = Fault(*where, what, instead, found.context, catalog.language, untranslated=True)
        yield TextFault(found.context, found.msgid, fault)
    for entry in stale:
        what = f"no screen says '{_first_line(entry.msgid)}' any more"
        instead = "give it the English text of now, or let 'advisor catalog update' set it aside"
        fault = Fault(file, entry.line, what, instead, entry.context, catalog.language, untranslated=True)
        # Nothing is shown of it, so it keeps no page from being proven.
        yield TextFault("", "", fault)


def _stale(material: Material, catalog: Catalog, wanted: Iterable[tuple[str, str, str]]) -> list[Entry]:
    """Entries of texts that stand nowhere; those of screens that could not be read are passed over."""
    known = set(wanted)
    return [
        entry
        for entry in catalog.entries
        if (entry.context, entry.msgid, entry.plural) not in known and _is_read(material, entry.context)
    ]


def _is_read(material: Material, context: str) -> bool:
    flow = context.partition(".")[0]
    if context == ENGINE:
        return True
    return material.is_whole(flow) or (flow not in material.flows and flow not in material.unread)


def _text_fault(found: CatalogFault, file: str, line: int, language: str) -> TextFault:
    what, _, instead = found.what.rpartition(": ")
    said = f"'{_first_line(found.msgid)}' {what}" if found.msgid else what
    place = (file, max(1, line))
    fault = Fault(*place, said, instead, found.context, language, untranslated=found.untranslated)
    return TextFault(found.context, found.msgid, fault)


def _header_line(text: str, found: CatalogFault) -> int:
    return line_with(text, '"Plural-Forms:' if "Plural-Forms" in found.what else '"Language:')


def _first_line(msgid: str) -> str:
    """The beginning of a text, enough to know it by."""
    first = msgid.splitlines()[0]
    return first if len(first) <= _ENOUGH else f"{first[:_ENOUGH]}…"


def _source_faults(material: Material, voice: Voice) -> Iterator[TextFault]:
    """Letters of the English texts that the alphabet lacks; the texts stand in the flows."""
    if voice.alphabet is not Alphabet.GSM7:
        return
    for (context, text, other), place in _wanted(material).items():
        for line in (*text.splitlines(), *other.splitlines()):
            foreign = outside(gsm_safe(line))
            if foreign and place.file:
                at = material.line_from(place.file, place.line, line)
                what = f"'{line}' holds {named_letters(foreign)}, which the GSM alphabet lacks"
                fault = Fault(place.file, at, what, "write it another way", context, voice.language)
                yield TextFault(context, text, fault)


def named_letters(letters: str) -> str:
    """Letters with their code points, for whoever cannot tell them apart on the screen.

    >>> named_letters("ç")
    'ç (U+00E7)'
    """
    return ", ".join(f"{letter} (U+{ord(letter):04X})" for letter in letters)


def engine_faults(material: Material, voice: Voice) -> Iterable[Fault]:
    """The engine's own messages that stand alone and do not fit a page, and sentences of lists that do not."""
    for text, say in _alone(voice):
        try:
            said = voice.out(say())
            spent, room = cost(said, voice.alphabet), ROOM[voice.alphabet]
        except WordingError:
            continue  # told with the catalog
        if spent > room:
            file = file_of(voice.catalog)
            entry = next((entry for entry in voice.catalog.entries if entry.msgid == text), None)
            what = "the message does not fit a page"
            wide = Wide(said, spent, room, "")
            yield Fault(file, entry.line if entry else 1, what, "shorten it", ENGINE, voice.language, wide)


def _alone(voice: Voice) -> Iterator[tuple[str, Callable[[], str]]]:
    for text in ALONE:
        yield text, partial(voice.say, ENGINE, text)
    for name, text in VISIT_TEXTS.items():
        yield text, partial(widest_sentence, name, voice)


def file_of(catalog: Catalog) -> str:
    """How faults name the file of a catalog."""
    return catalog.file or f"locales/{catalog.language}.po"
