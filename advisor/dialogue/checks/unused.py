"""Answers and values that come to nothing: kept under a name that nothing looks at, or not kept at all."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.dialogue.checks.material import Material
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import AskKind, Flow, Screen
from advisor.dialogue.nearby import nearest_of
from advisor.dialogue.registry import Registry
from advisor.dialogue.talk import Spot
from advisor.wording.errors import BadPlaceholder
from advisor.wording.templates import placeholders

#: Values that the words for yes and no answer, even where they are not kept.
_SPOKEN = ("yes", "no")


def unused_faults(material: Material, registry: Registry) -> list[Fault]:
    """Every answer that is thrown away, and every answer of a conversation that nothing ever looks at.

    Args:
        material: the flows; those that could not be read wholly are passed over.
        registry: what calculations and conditions look at.
    """
    faults: list[Fault] = []
    for flow in material.flows.values():
        if material.is_whole(flow.name):
            looked_at = _looked_at(flow, registry) | _looked_at_by_callers(flow, material, registry)
            for screen in flow.screens:
                if Spot(flow.name, screen.name) not in material.unsound:
                    # a caller that cannot be read may look at it
                    faults += _faults(flow, screen, looked_at, may_be_unused=material.all_read)
    return faults


def _faults(flow: Flow, screen: Screen, looked_at: set[str], *, may_be_unused: bool) -> Iterable[Fault]:
    ask, place = screen.ask, f"{flow.name}.{screen.name}"
    if ask is None:
        return
    if not screen.keep and ask.kind not in (AskKind.CHOICE, AskKind.WHICH, AskKind.TEXT, AskKind.SECRET):
        yield Fault(flow.file, screen.line, "the answer is not kept", "add 'keep' with a name for it", place)
    for choice in ask.choices if not screen.keep else ():
        if choice.value and choice.value not in _SPOKEN:
            what = f"the value '{choice.value}' is not kept"
            yield Fault(flow.file, choice.line, what, "add 'keep' to the screen, or take 'is' out", place)
    if may_be_unused and screen.keep and "." not in screen.keep and screen.keep not in looked_at:
        what = f"nothing looks at the answer '{screen.keep}'"
        yield Fault(flow.file, screen.line, what, _to_be_looked_at(screen.keep, looked_at), place)


def _to_be_looked_at(name: str, looked_at: set[str]) -> str:
    near = nearest_of(name, looked_at)
    return f"did you mean '{near}'?" if near else f"say it in a text, or keep it as a fact, like 'grower.{name}'"


def _looked_at(flow: Flow, registry: Registry) -> set[str]:
    """Names that texts, calculations, conditions and ways of a flow look at."""
    names: set[str] = set()
    for screen in flow.screens:
        calculation = registry.calculation(screen.work) if screen.work else None
        if calculation:
            names |= {*calculation.needs, *calculation.may_use, *(takes.name for takes in calculation.takes)}
        for edge in flow.edges(screen):
            names |= {edge.known} if edge.known else set()
            condition = registry.condition(edge.when)
            names |= set(condition.needs) if condition else set()
        names |= {source for _, source in screen.keeps}
        for line in screen.ask.lines if screen.ask else ():
            names |= {line.known} if line.known else set()
        names |= {screen.ask.sown} if screen.ask else set()
        if screen.say:
            names |= _named(screen.say.text) | _named(screen.say.other)
            names |= {screen.say.count} if screen.say.count else set()
    return names


def _looked_at_by_callers(flow: Flow, material: Material, registry: Registry) -> set[str]:
    """Names that the ways on behind a call of this flow look at."""
    edges = (
        edge
        for other in material.flows.values()
        for screen in other.screens
        if screen.call == flow.name
        for edge in screen.to
    )
    return {name for edge in edges if (found := registry.condition(edge.when)) for name in found.needs}


def _named(text: str) -> frozenset[str]:
    try:
        return placeholders(text)
    except BadPlaceholder:
        return frozenset()
