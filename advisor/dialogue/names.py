"""Which names a flow may use: conditions, calculations, lists, facts and values, and what kind each value is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import Ask, AskKind, Flow, Screen
from advisor.dialogue.registry import Registry
from advisor.wording.errors import WordingError
from advisor.wording.kinds import CountOf, Kind, Number, OneOf, Whole
from advisor.wording.templates import placeholders

#: Choices that fit the digits 1 to 8; 9 turns the page.
MOST_CHOICES = 8


def kinds_of(flows: Mapping[str, Flow], registry: Registry) -> dict[tuple[str, str], Kind]:
    """The kind of every named value, by (flow, name); facts stand under an empty flow."""
    kinds: dict[tuple[str, str], Kind] = {}
    for flow in flows.values():
        for screen in flow.screens:
            given = _given(screen, registry)
            for name, kind in given.items():
                kinds["" if "." in name else flow.name, name] = kind
            for fact, source in screen.keeps:
                if source in given:
                    kinds["", fact] = given[source]
    return kinds


def _given(screen: Screen, registry: Registry) -> dict[str, Kind]:
    calculation = registry.calculation(screen.work) if screen.work else None
    given = dict(calculation.gives) if calculation else {}
    kind = _ask_kind(screen.ask, registry) if screen.ask and screen.keep else None
    return given | {screen.keep: kind} if kind else given


def _ask_kind(ask: Ask, registry: Registry) -> Kind | None:
    if ask.kind is AskKind.AREA:
        return registry.area
    if ask.kind is AskKind.MONEY:
        return registry.money
    if ask.kind is AskKind.PICK:
        return OneOf(registry.entries(ask.source))
    if ask.kind is AskKind.COUNT_OF and ask.high is not None:
        return CountOf(int(ask.high))
    if ask.kind is AskKind.NUMBER and ask.low is not None and ask.high is not None:
        if ask.decimals == 0:
            return Whole(int(ask.low), int(ask.high))
        return Number(ask.low, ask.high, ask.decimals)
    return None


def name_faults(flows: Mapping[str, Flow], registry: Registry) -> list[Fault]:
    """Every name that stands for nothing, and every question that cannot be asked."""
    faults = [
        fault for flow in flows.values() for screen in flow.screens for fault in _unknown(flow, screen, registry)
    ]
    return faults or list(_unknown_values(flows, registry))


def _unknown(flow: Flow, screen: Screen, registry: Registry) -> Iterable[Fault]:
    place = f"{flow.name}.{screen.name}"

    def fault(line: int, what: str, known: Iterable[str]) -> Fault:
        return Fault(flow.file, line, what, f"write one of: {', '.join(sorted(known))}", place)

    conditions = {condition.name for condition in registry.conditions}
    for edge in flow.edges(screen):
        if edge.when and edge.when not in conditions:
            yield fault(edge.line, f"there is no condition '{edge.when}'", conditions)
    if screen.work and registry.calculation(screen.work) is None:
        names = {calculation.name for calculation in registry.calculations}
        yield fault(screen.line, f"there is no calculation '{screen.work}'", names)
    ask = screen.ask
    if ask and ask.kind is AskKind.PICK and not registry.entries(ask.source):
        yield fault(screen.line, f"there is no list '{ask.source}'", dict(registry.lists))
    if ask and ask.kind is AskKind.NUMBER and (ask.low is None or ask.high is None or ask.low > ask.high):
        yield Fault(flow.file, screen.line, "the number has no range", "give 'low' and 'high'", place)
    if ask and ask.kind is AskKind.COUNT_OF and ask.high is None:
        yield Fault(flow.file, screen.line, "the count has no largest sample", "give 'most'", place)
    options = (
        len(registry.entries(ask.source)) if ask and ask.kind is AskKind.PICK else len(ask.choices) if ask else 0
    )
    if options > MOST_CHOICES:
        what = f"{options} choices, {MOST_CHOICES} are allowed"
        yield Fault(flow.file, screen.line, what, "group them on two screens", place)


def _unknown_values(flows: Mapping[str, Flow], registry: Registry) -> Iterable[Fault]:
    kinds = kinds_of(flows, registry)
    ruled = {rule.name for flow in flows.values() for rule in flow.facts}
    for flow in flows.values():
        for screen in flow.screens:
            place = f"{flow.name}.{screen.name}"
            for name in (screen.keep, *(fact for fact, _ in screen.keeps)):
                if "." in name and name not in ruled:
                    instead = f"add '{name}: 300 days' under 'facts'"
                    yield Fault(flow.file, screen.line, f"nobody says how long '{name}' holds", instead, place)
            yield from _unnamed(flow, screen, place, kinds)


def _unnamed(flow: Flow, screen: Screen, place: str, kinds: Mapping[tuple[str, str], Kind]) -> Iterable[Fault]:
    say = screen.say
    if say is None:
        return
    try:
        names = placeholders(say.text) | placeholders(say.other) | ({say.count} if say.count else set())
    except WordingError as error:
        yield Fault(flow.file, say.line, str(error), "mend the text", place)
        return
    for name in sorted(names):
        if (flow.name, name) not in kinds and ("", name) not in kinds:
            known = sorted({value for owner, value in kinds if owner in ("", flow.name)})
            instead = f"work it out or ask for it; known: {', '.join(known)}"
            yield Fault(flow.file, say.line, f"nothing gives '{name}'", instead, place)
