"""From flows, catalogs and a registry to a book, or to everything that is wrong with them."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from advisor.agronomy.programme import Programme
from advisor.dialogue.book import ALONE, Book
from advisor.dialogue.faults import Fault, Faulty
from advisor.dialogue.flows import AskKind, Flow, Screen
from advisor.dialogue.graph import graph_faults
from advisor.dialogue.machine import Router
from advisor.dialogue.names import kinds_of, name_faults
from advisor.dialogue.notices import CHANGED, TEXTS, notice_text, notices_of
from advisor.dialogue.proof import Uneven, layout
from advisor.dialogue.registry import Registry
from advisor.dialogue.screens import BACK, BACK_ZERO_TAKEN, ENGINE, MORE, Layout
from advisor.dialogue.talk import Spot
from advisor.wording.catalog_check import catalog_faults, missing_translations
from advisor.wording.errors import WordingError
from advisor.wording.kinds import Kind, NotOfKind, Whole
from advisor.wording.segments import ROOM, cost
from advisor.wording.voice import Voice

#: The flow in which every conversation begins.
ROOT = "welcome"


def build_book(
    flows: Iterable[Flow], voices: Iterable[Voice], registry: Registry, programme: Programme, salt: str
) -> Book:
    """Builds the book.

    Args:
        flows: all flows; one is named ``welcome`` and has the menu screen.
        voices: one for each language of the programme.
        registry: what flows may name.
        programme: the programme.
        salt: text of catalogs and programme, for the fingerprint.

    Returns:
        The book, every screen of every language proven to fit.

    Raises:
        Faulty: everything that is wrong.
    """
    by_name = {flow.name: flow for flow in flows}
    faults = [*graph_faults(by_name, ROOT), *name_faults(by_name, registry)]
    if faults:
        raise Faulty(faults)
    by_language = {voice.language: voice for voice in voices}
    kinds = kinds_of(by_name, registry)
    faults = [fault for voice in by_language.values() for fault in _untranslated(by_name, voice)]
    widest, counted = _widest(kinds), _counted(kinds)
    layouts: dict[tuple[Spot, str, str], Layout] = {}
    for voice in () if faults else by_language.values():
        faults += _engine_faults(voice)
        for flow in by_name.values():
            for screen in flow.screens:
                faults += _lay_out(flow, screen, voice, registry, widest, counted, layouts)
    if faults:
        raise Faulty(faults)
    screens = {Spot(flow.name, screen.name): screen for flow in by_name.values() for screen in flow.screens}
    conditions = {condition.name: condition.holds for condition in registry.conditions}
    menu = next(screen.name for screen in by_name[ROOT].screens if screen.is_menu)
    prints = "".join(flow.fingerprint for flow in by_name.values()) + salt
    return Book(
        flows=MappingProxyType(by_name),
        routers=MappingProxyType({name: Router(flow, conditions) for name, flow in by_name.items()}),
        voices=MappingProxyType(by_language),
        registry=registry,
        programme=programme,
        root=Spot(ROOT, by_name[ROOT].start),
        menu=Spot(ROOT, menu),
        kinds=MappingProxyType(kinds),
        layouts=MappingProxyType(layouts),
        screens=MappingProxyType(screens),
        questions=MappingProxyType(
            {spot: _question(screen, registry) for spot, screen in screens.items() if screen.say is not None}
        ),
        facts=MappingProxyType({rule.name: rule.fresh_for for flow in by_name.values() for rule in flow.facts}),
        fingerprint=hashlib.sha256(prints.encode()).hexdigest()[:16],
    )


def _question(screen: Screen, registry: Registry) -> str:
    """The kind of question, and a digest of the answers it offers in their order."""
    if screen.ask is None:
        return ""
    offered: object = [(choice.value, [edge.to for edge in choice.to]) for choice in screen.ask.options]
    if screen.ask.kind is AskKind.PICK:
        offered = [key for key, _ in registry.entries(screen.ask.source)]
    return f"{screen.ask.kind.value}:{hashlib.sha256(repr(offered).encode()).hexdigest()[:8]}"


def texts_of(flow: Flow) -> Iterable[tuple[str, str, str, int]]:
    """Every text of a flow for the catalogs: context, source text, plural source text or empty, line."""
    for screen in flow.screens:
        context = f"{flow.name}.{screen.name}"
        if screen.say:
            yield context, screen.say.text, screen.say.other, screen.say.line
        if screen.help:
            yield context, screen.help, "", screen.line
        for choice in screen.ask.options if screen.ask else ():
            yield context, choice.say, "", choice.line


def engine_texts() -> tuple[str, ...]:
    """Every text of the engine itself for the catalogs, under the context ``engine``."""
    return (BACK, BACK_ZERO_TAKEN, MORE, *ALONE, *TEXTS.values())


def _untranslated(flows: Mapping[str, Flow], voice: Voice) -> Iterable[Fault]:
    wanted = [(ENGINE, text, "") for text in engine_texts()]
    wanted += [(context, text, other) for flow in flows.values() for context, text, other, _ in texts_of(flow)]
    catalog = voice.catalog
    for found in (*catalog_faults(catalog, voice.alphabet), *missing_translations(catalog, wanted)):
        what, _, instead = found.what.rpartition(": ")
        said = f"'{found.msgid.splitlines()[0]}' {what}" if found.msgid else what
        yield Fault(f"locales/{voice.language}.po", found.line, said, instead, found.context, voice.language)


def _engine_faults(voice: Voice) -> Iterable[Fault]:
    for text in ALONE:
        said = voice.out(voice.say(ENGINE, text))
        spent = cost(said, voice.alphabet)
        if spent > ROOM[voice.alphabet]:
            what = f"'{said}' costs {spent}, a page holds {ROOM[voice.alphabet]}"
            yield Fault(f"{voice.language}.po", 0, what, "shorten it", ENGINE, voice.language)


def _widest(kinds: Mapping[tuple[str, str], Kind]) -> Callable[[str, str, Voice], str]:
    """The widest text of a named value, worked out once for each language."""
    found: dict[tuple[str, str, str], str] = {}

    def widest(flow: str, name: str, voice: Voice) -> str:
        owner = flow if (flow, name) in kinds else ""
        key = (owner, name, voice.language)
        if key not in found:
            found[key] = kinds[owner, name].widest(voice)
        return found[key]

    return widest


def _counted(kinds: Mapping[tuple[str, str], Kind]) -> Callable[[str, str, Voice], tuple[tuple[int, str], ...]]:
    """For each plural form of a counted value, a count that takes it and the widest text of such a count."""

    def counted(flow: str, name: str, voice: Voice) -> tuple[tuple[int, str], ...]:
        kind = kinds.get((flow, name)) or kinds["", name]
        if not isinstance(kind, Whole):
            raise NotOfKind("count", name, "a whole number with a range")
        return tuple((count, kind.words(count, voice)) for _, count in kind.witnesses(voice))

    return counted


def _lay_out(
    flow: Flow,
    screen: Screen,
    voice: Voice,
    registry: Registry,
    widest: Callable[[str, str, Voice], str],
    counted: Callable[[str, str, Voice], tuple[tuple[int, str], ...]],
    layouts: dict[tuple[Spot, str, str], Layout],
) -> list[Fault]:
    if screen.say is None:
        return []
    spot, context = Spot(flow.name, screen.name), f"{flow.name}.{screen.name}"
    entries = registry.entries(screen.ask.source) if screen.ask and screen.ask.kind is AskKind.PICK else ()

    def words(name: str) -> str:
        return widest(flow.name, name, voice)

    faults = []
    for notice in notices_of(screen):
        try:
            counts = counted(flow.name, screen.say.count, voice) if screen.say.other else ()
            above = notice_text(notice, context, screen, voice, registry)
            found = layout(context, screen, voice, entries, words, counts, above)
            if above and screen.ask and notice != CHANGED:
                # The text is on the phone already; a reason that pushes the answers off the page helps nobody.
                plain = layouts[spot, voice.language, ""]
                if len(found.pages) > len(plain.pages):
                    found = layout(context, screen, voice, entries, words, counts, above, brief=True)
        except (WordingError, Uneven) as error:
            what = str(error) or "the plural forms have different numbers of lines"
            under = f" (under the notice '{notice}')" if notice else ""
            faults.append(Fault(flow.file, screen.line, what + under, "shorten it", context, voice.language))
            continue
        layouts[spot, voice.language, notice] = found
    return faults
