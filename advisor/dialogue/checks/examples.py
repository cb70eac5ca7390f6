"""Examples that would themselves be refused: they help nobody."""

from __future__ import annotations

from advisor.dialogue.answers import Slip, tidy, understand
from advisor.dialogue.checks.material import Material
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import AskKind, Screen
from advisor.dialogue.registry import Registry
from advisor.dialogue.talk import Spot


def example_faults(material: Material, registry: Registry) -> list[Fault]:
    """Every example that is no answer to its own question, in one language or in all of them.

    Args:
        material: flows and languages.
        registry: lists and bounds.
    """
    return [
        fault
        for flow in material.flows.values()
        for screen in flow.screens
        if Spot(flow.name, screen.name) not in material.unsound
        for fault in _faults(flow.file, f"{flow.name}.{screen.name}", screen, material, registry)
    ]


def _faults(file: str, place: str, screen: Screen, material: Material, registry: Registry) -> list[Fault]:
    ask = screen.ask
    if ask is None or not ask.example:
        return []
    refused = [
        voice.language
        for voice in material.voices.values()
        if isinstance(understand(tidy(ask.example), ask, voice, registry), Slip)
    ]
    if refused:
        language = "" if len(refused) == len(material.voices) else refused[0]
        what = f"'{ask.example}' is no answer to its own question"
        return [Fault(file, screen.line, what, "give an example in the range", place, language)]
    if ask.kind is AskKind.AREA and not ask.example.replace(".", "", 1).isdecimal():
        what = f"the example '{ask.example}' is no plain number"
        return [Fault(file, screen.line, what, "give it in the programme's unit, without the unit", place)]
    return []
