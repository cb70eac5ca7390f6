"""From flows, catalogs and a registry to a book, or to everything that is wrong with them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import replace
from types import MappingProxyType
from zoneinfo import ZoneInfo

from advisor.agronomy.programme import Programme
from advisor.dialogue.book import Book
from advisor.dialogue.checks.checking import ROOT, findings
from advisor.dialogue.checks.laying import Layouts
from advisor.dialogue.checks.material import Material
from advisor.dialogue.faults import Faulty
from advisor.dialogue.flows import AskKind, Flow, Screen
from advisor.dialogue.machine import Router
from advisor.dialogue.one_line.keywords import keywords_of, vocabulary_of
from advisor.dialogue.registry import Registry
from advisor.dialogue.talk import Spot
from advisor.wording.templates import placeholders
from advisor.wording.voice import Voice


def build_book(
    flows: Iterable[Flow], voices: Iterable[Voice], registry: Registry, programme: Programme, salt: str
) -> Book:
    """Builds the book.

    Args:
        flows: all flows; one is named ``welcome`` and has the menu screen.
        voices: one for each language of the programme, the first is the default.
        registry: what flows may name.
        programme: the programme.
        salt: text of catalogs and programme, for the fingerprint.

    Returns:
        The book, every screen of every language proven to fit.

    Raises:
        Faulty: everything that is wrong.
    """
    by_name = MappingProxyType({flow.name: flow for flow in flows})
    by_language = MappingProxyType({voice.language: voice for voice in voices})
    return book_from(Material(by_name, by_language, registry, programme, salt))


def book_from(material: Material, *, drafting: bool = False) -> Book:
    """Builds the book from what was read.

    Args:
        material: flows, languages and programme, with what was found wrong while they were read.
        drafting: what is not translated yet is said in English and told as a warning of the book.

    Returns:
        The book, every screen of every language proven to fit.

    Raises:
        Faulty: everything that is wrong, and what could not be looked at yet because of it.
    """
    found = findings(material, drafting=drafting)
    if found.faults or found.layouts is None or material.programme is None:
        raise Faulty(found.faults, found.left)
    return replace(_assembled(material, found.layouts, material.programme), warnings=found.warnings)


def _assembled(material: Material, layouts: Layouts, programme: Programme) -> Book:
    flows, voices, salt = material.flows, material.voices, material.salt
    registry = layouts.registry
    screens = {Spot(flow.name, screen.name): screen for flow in flows.values() for screen in flow.screens}
    shown = {spot: _question(screen, registry) for spot, screen in screens.items() if screen.say is not None}
    conditions = {condition.name: condition.holds for condition in registry.conditions}
    menu = next(screen.name for screen in flows[ROOT].screens if screen.is_menu)
    prints = "".join(flow.fingerprint for flow in flows.values()) + salt
    return Book(
        flows=MappingProxyType(dict(flows)),
        routers=MappingProxyType({name: Router(flow, conditions) for name, flow in flows.items()}),
        voices=MappingProxyType(dict(voices)),
        registry=registry,
        programme=programme,
        root=Spot(ROOT, flows[ROOT].start),
        menu=Spot(ROOT, menu),
        kinds=MappingProxyType(dict(layouts.kinds)),
        layouts=MappingProxyType(layouts.found),
        fewer=MappingProxyType(layouts.fewer),
        headed=MappingProxyType(layouts.headed),
        answers=MappingProxyType(layouts.answers),
        screens=MappingProxyType(screens),
        questions=MappingProxyType(shown),
        says=MappingProxyType({spot: names for flow in flows.values() for spot, names in _says(flow)}),
        facts=MappingProxyType({rule.name: rule.fresh_for for flow in flows.values() for rule in flow.facts}),
        fact_kinds=MappingProxyType({name: kind for (of, name), kind in layouts.kinds.items() if not of}),
        keywords=MappingProxyType(keywords_of(flows)),
        english=material.english,
        in_english=frozenset(layouts.in_english),
        vocabulary=vocabulary_of(voices.values(), keywords_of(flows)),
        fingerprint=hashlib.sha256(prints.encode()).hexdigest()[:16],
        zone=ZoneInfo(programme.time_zone),  # whoever read the programme has looked it up already
    )


def _says(flow: Flow) -> Iterator[tuple[Spot, tuple[str, ...]]]:
    """The screens whose pages follow from the values that they name, and these names."""
    kinds = {screen.ask.kind for screen in flow.screens if screen.ask is not None}
    for screen in flow.screens:
        say = screen.say
        if say is None or (screen.ask is not None and screen.ask.kind is AskKind.WHICH):
            continue  # a list of the grower's own says more than it names
        names = placeholders(say.text) | placeholders(say.other) | ({say.count} if say.count else set())
        if not names or AskKind.SECRET not in kinds:  # behind the PIN hardly a page with values comes twice
            yield Spot(flow.name, screen.name), tuple(sorted(names))


def _question(screen: Screen, registry: Registry) -> str:
    """The kind of question, and a digest of the answers it offers in their order."""
    if screen.ask is None:
        return ""
    offered: object = [(choice.value, [edge.to for edge in choice.to]) for choice in screen.ask.options]
    if screen.ask.kind is AskKind.WHICH:
        offered = screen.ask.source
    if screen.ask.kind is AskKind.PICK:
        offered = [key for key, _ in registry.entries(screen.ask.source)]
    return f"{screen.ask.kind.value}:{hashlib.sha256(repr(offered).encode()).hexdigest()[:8]}"
