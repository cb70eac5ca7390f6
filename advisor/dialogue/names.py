"""Which names a flow may use: conditions, calculations, lists, facts and values, and what kind each value is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import Ask, AskKind, Edge, FactRule, Flow, Screen
from advisor.dialogue.registry import Condition, Registry
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

    conditions = {condition.name: condition for condition in registry.conditions}
    for edge in flow.edges(screen):
        if edge.when and edge.when not in conditions:
            yield fault(edge.line, f"there is no condition '{edge.when}'", conditions)
        elif edge.when:
            yield from _blind(flow, screen, place, edge, conditions[edge.when], registry)
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


def _blind(
    flow: Flow, screen: Screen, place: str, edge: Edge, condition: Condition, registry: Registry
) -> Iterable[Fault]:
    """A condition looks at results of the screen's own calculation; without it there is nothing to look at."""
    calculation = registry.calculation(screen.work) if screen.work and not screen.call else None
    given = dict(calculation.gives) if calculation else {}
    works = set(calculation.also) if calculation else set()
    for need in condition.needs:
        if "." not in need and need not in given and need not in works:
            instead = "name the calculation that gives it under 'work'"
            yield Fault(
                flow.file, edge.line, f"'{edge.when}' looks at '{need}', which is not here", instead, place
            )


def _unknown_values(flows: Mapping[str, Flow], registry: Registry) -> Iterable[Fault]:
    kinds = kinds_of(flows, registry)
    yield from _disagreements(flows, registry)
    ruled = {rule.name for flow in flows.values() for rule in flow.facts}
    for flow in flows.values():
        for screen in flow.screens:
            place = f"{flow.name}.{screen.name}"
            for name in (screen.keep, *(fact for fact, _ in screen.keeps)):
                if "." in name and name not in ruled:
                    instead = f"add '{name}: 300 days' under 'facts'"
                    yield Fault(flow.file, screen.line, f"nobody says how long '{name}' holds", instead, place)
            yield from _strangers(
                flow, screen, place, ruled | {name for owner, name in kinds if owner == flow.name}
            )
            yield from _unnamed(flow, screen, place, kinds)


def _disagreements(flows: Mapping[str, Flow], registry: Registry) -> Iterable[Fault]:
    """One fact with two lives or two kinds in two flows: the last file must not win in silence."""
    rules: dict[str, FactRule] = {}
    kinds: dict[str, Kind] = {}
    for flow in flows.values():
        for rule in flow.facts:
            if rules.setdefault(rule.name, rule).fresh_for != rule.fresh_for:
                what = f"another flow says something else of how long '{rule.name}' holds"
                yield Fault(flow.file, rule.line, what, "give both the same time")
        for screen in flow.screens:
            for name, kind in _given(screen, registry).items():
                if "." in name and kinds.setdefault(name, kind) != kind:
                    what = f"'{name}' is another kind of value elsewhere"
                    yield Fault(
                        flow.file, screen.line, what, "give one of them another name", f"{flow.name}.{screen.name}"
                    )


def _strangers(flow: Flow, screen: Screen, place: str, known: set[str]) -> Iterable[Fault]:
    """Names under 'known', 'forget' and 'keeps' that stand for nothing; a slip there would be silent."""
    answers = known | {other.keep for other in flow.screens if other.keep}
    named = [(edge.known, edge.line) for edge in flow.edges(screen) if edge.known]
    options = screen.ask.options if screen.ask else ()
    named += [(name, choice.line) for choice in options for name in choice.forgets]
    named += [(name, screen.line) for name in screen.forgets]
    named += [(source, screen.line) for _, source in screen.keeps]
    for name, line in named:
        if name not in answers:
            instead = f"write one of: {', '.join(sorted(answers))}"
            yield Fault(flow.file, line, f"nothing is known as '{name}'", instead, place)


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
