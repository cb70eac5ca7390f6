"""Questions and choices held against what the calculations can make of their answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.dialogue.checks.material import Material
from advisor.dialogue.checks.names import kinds_given
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import AskKind, Flow, Screen
from advisor.dialogue.nearby import instead_of
from advisor.dialogue.registry import Registry, Takes
from advisor.dialogue.talk import Spot
from advisor.wording.kinds import Kind, OneOf


def taking_faults(material: Material, registry: Registry) -> list[Fault]:
    """Every answer or result that a calculation in use could make nothing of.

    Args:
        material: the flows.
        registry: the calculations with what they take.
    """
    faults: list[Fault] = []
    for flow in material.flows.values():
        giving = _giving(flow, material, registry)
        for work, takes in _taken_in(flow, material, registry):
            for screen, kind in giving.get(takes.name, ()):
                faults += _choice_faults(flow, screen, work, takes)
                faults += _kind_faults(flow, screen, kind, work, takes)
    return faults


def _giving(flow: Flow, material: Material, registry: Registry) -> dict[str, list[tuple[Screen, Kind | None]]]:
    """Of each name the sound screens of a flow that give it, with its kind there, None where it has none."""
    giving: dict[str, list[tuple[Screen, Kind | None]]] = {}
    for screen in flow.screens:
        if Spot(flow.name, screen.name) not in material.unsound:
            kinds = kinds_given(screen, registry)
            for name in {screen.keep, *kinds} - {""}:
                giving.setdefault(name, []).append((screen, kinds.get(name)))
    return giving


def _taken_in(flow: Flow, material: Material, registry: Registry) -> Iterator[tuple[str, Takes]]:
    """What calculations take of what one flow gives: facts by any flow's calculation, answers by its own."""
    for other in material.flows.values():
        for work in sorted({screen.work for screen in other.screens if screen.work}):
            calculation = registry.calculation(work)
            for takes in calculation.takes if calculation else ():
                if "." in takes.name or other is flow:
                    yield work, takes


def _choice_faults(flow: Flow, screen: Screen, work: str, takes: Takes) -> Iterable[Fault]:
    ask = screen.ask
    if ask is None or ask.kind is not AskKind.CHOICE or screen.keep != takes.name:
        return
    place = f"{flow.name}.{screen.name}"
    for choice in ask.choices:
        if not takes.values:
            what = f"'{work}' cannot work with a choice for '{takes.name}'"
            instead = f"ask for {_said(takes)}"
            yield Fault(flow.file, choice.line, what, instead, place)
        elif choice.value and choice.value not in takes.values:
            what = f"'{work}' knows no '{choice.value}' for '{takes.name}'"
            yield Fault(flow.file, choice.line, what, instead_of(choice.value, takes.values), place)


def _kind_faults(flow: Flow, screen: Screen, kind: Kind | None, work: str, takes: Takes) -> Iterable[Fault]:
    if kind is not None and not _fits(kind, takes):
        what = f"'{work}' cannot work with this for '{takes.name}'"
        yield Fault(flow.file, screen.line, what, f"give {_said(takes)}", f"{flow.name}.{screen.name}")


def _fits(kind: Kind, takes: Takes) -> bool:
    if isinstance(kind, OneOf) and takes.values:
        return {key for key, _ in kind.labels} <= set(takes.values)
    return isinstance(kind, takes.kinds)


def _said(takes: Takes) -> str:
    if takes.values:
        return f"a choice of: {', '.join(takes.values)}"
    return "a value of the kind " + " or ".join(kind.__name__ for kind in takes.kinds)
