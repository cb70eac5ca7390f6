"""From flows, catalogs and a registry to a book, or to everything that is wrong with them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from advisor.agronomy.programme import Programme
from advisor.dialogue.answers import Slip, tidy, understand
from advisor.dialogue.book import Book
from advisor.dialogue.faults import Fault, Faulty
from advisor.dialogue.flows import AskKind, Flow, Screen
from advisor.dialogue.graph import graph_faults
from advisor.dialogue.laying import Layouts
from advisor.dialogue.machine import Router
from advisor.dialogue.names import kinds_of, name_faults
from advisor.dialogue.paths import path_faults
from advisor.dialogue.registry import Registry
from advisor.dialogue.talk import Spot
from advisor.dialogue.texts import catalog_faults_of, engine_faults
from advisor.wording.voice import Voice

#: The flow in which every conversation begins.
ROOT = "welcome"


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
    by_name = {flow.name: flow for flow in flows}
    by_language = {voice.language: voice for voice in voices}
    _refuse([*graph_faults(by_name, ROOT), *name_faults(by_name, registry)])
    _refuse(path_faults(by_name, registry, ROOT))
    _refuse(_example_faults(by_name, next(iter(by_language.values())), registry))
    _refuse(fault for voice in by_language.values() for fault in catalog_faults_of(by_name, voice))
    layouts = Layouts(registry, kinds_of(by_name, registry))
    for voice in by_language.values():
        layouts.faults += engine_faults(voice)
        for flow in by_name.values():
            for screen in flow.screens:
                layouts.add(flow, screen, voice)
    _refuse(layouts.faults)
    return _assembled(by_name, by_language, layouts, programme, salt)


def _refuse(found: Iterable[Fault]) -> None:
    faults = tuple(found)
    if faults:
        raise Faulty(faults)


def _assembled(
    flows: Mapping[str, Flow], voices: Mapping[str, Voice], layouts: Layouts, programme: Programme, salt: str
) -> Book:
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
        screens=MappingProxyType(screens),
        questions=MappingProxyType(shown),
        facts=MappingProxyType({rule.name: rule.fresh_for for flow in flows.values() for rule in flow.facts}),
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


def _example_faults(flows: Mapping[str, Flow], voice: Voice, registry: Registry) -> Iterable[Fault]:
    """An example that would itself be refused helps nobody."""
    for flow in flows.values():
        for screen in flow.screens:
            ask = screen.ask
            if ask and ask.example and isinstance(understand(tidy(ask.example), ask, voice, registry), Slip):
                what = f"'{ask.example}' is no answer to its own question"
                yield Fault(
                    flow.file, screen.line, what, "give an example in the range", f"{flow.name}.{screen.name}"
                )
