"""Which names a flow may use: conditions, calculations, lists, facts and values, and what kind each value is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set

from advisor.dialogue.checks.material import Material
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import LAST_DIGITS, Ask, AskKind, Edge, FactRule, Flow, Screen
from advisor.dialogue.nearby import instead_of
from advisor.dialogue.registry import Condition, Registry
from advisor.dialogue.several import NUMBER, fact_named
from advisor.dialogue.talk import Spot
from advisor.wording.errors import UnfitKind, WordingError
from advisor.wording.kinds import CountOf, Day, Digits, Kind, Number, OneOf, Whole
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
        for screen in flow.screens:
            # of one name that screens give the kind that is said holds, whatever stands behind it
            kinds |= {(flow.name, name): kind for name, kind in _said(screen, registry)}
    return kinds


def _given(screen: Screen, registry: Registry) -> dict[str, Kind]:
    calculation = registry.calculation(screen.work) if screen.work else None
    given = dict(calculation.gives) if calculation else {}
    kind = _ask_kind(screen.ask, registry) if screen.ask and screen.keep else None
    return given | {screen.keep: kind} if kind else given


def kinds_given(screen: Screen, registry: Registry) -> dict[str, Kind]:
    """The kind of each fact and answer that a screen gives: of its question, and of what it keeps."""
    given = _given(screen, registry)
    kept = {fact: given[source] for fact, source in screen.keeps if source in given}
    return kept | ({screen.keep: given[screen.keep]} if screen.keep in given else {})


def _ask_kind(ask: Ask, registry: Registry) -> Kind | None:
    """The kind of a question's answers, None of choices, and of a question that cannot be asked as it stands."""
    try:
        return _sound_ask_kind(ask, registry)
    except UnfitKind:
        return None


def _sound_ask_kind(ask: Ask, registry: Registry) -> Kind | None:
    if ask.kind is AskKind.AREA:
        return registry.area
    if ask.kind is AskKind.MONEY:
        return registry.money
    if ask.kind is AskKind.DATE:
        return Day()
    if ask.kind is AskKind.PICK:
        return OneOf(registry.entries(ask.source))
    if ask.kind is AskKind.GROWER:
        return Digits(LAST_DIGITS)
    if ask.kind is AskKind.COUNT_OF and ask.high is not None:
        return CountOf(int(ask.high))
    if ask.kind is AskKind.NUMBER and ask.low is not None and ask.high is not None:
        if ask.decimals == 0:
            return Whole(int(ask.low), int(ask.high))
        return Number(ask.low, ask.high, ask.decimals)
    return None


def name_faults(material: Material, registry: Registry) -> list[Fault]:
    """Every name that stands for nothing, and every question that cannot be asked.

    Args:
        material: the flows; screens that could not be read wholly are passed over.
        registry: what flows may name.
    """
    sound = [
        (flow, screen)
        for flow in material.flows.values()
        for screen in flow.screens
        if Spot(flow.name, screen.name) not in material.unsound
    ]
    faults = [fault for flow, screen in sound for fault in _unknown(material.flows, flow, screen, registry)]
    return [*faults, *_unknown_values(material, sound, registry)]


def _unknown(flows: Mapping[str, Flow], flow: Flow, screen: Screen, registry: Registry) -> Iterable[Fault]:
    place = f"{flow.name}.{screen.name}"

    def fault(line: int, what: str, word: str, known: Iterable[str]) -> Fault:
        return Fault(flow.file, line, f"there is no {what} '{word}'", instead_of(word, known), place)

    for edge in flow.edges(screen):
        condition = registry.condition(edge.when)
        if edge.when and condition is None:
            yield fault(edge.line, "condition", edge.when, _condition_names(registry))
        elif condition:
            called = flows.get(screen.call)
            answers = {other.keep for other in called.screens} if called else set()
            yield from _blind(flow, screen, place, edge, condition, registry, answers)
    if screen.work and registry.calculation(screen.work) is None:
        names = {calculation.name for calculation in registry.calculations}
        yield fault(screen.line, "calculation", screen.work, names)
    ask = screen.ask
    for line in ask.lines if ask else ():
        assert ask is not None
        condition = registry.condition(line.when)
        if line.when and condition is None:
            yield fault(line.line, "condition", line.when, _condition_names(registry))
        elif condition and not all(need.startswith(f"{ask.source}.") for need in condition.needs):
            what = f"'{line.when}' looks at more than facts of the {ask.source}"
            yield Fault(flow.file, line.line, what, "name a condition on facts of that scope alone", place)
    # a list that a programme leaves empty is no fault of the flow: the walk refuses to ask out of it
    if ask and ask.kind is AskKind.PICK and ask.source not in dict(registry.lists):
        yield fault(screen.line, "list", ask.source, dict(registry.lists))
    if ask and ask.kind is AskKind.NUMBER:
        if ask.low is None or ask.high is None:
            yield Fault(flow.file, screen.line, "the number has no range", "give 'low' and 'high'", place)
        elif ask.low > ask.high:
            what = f"no number lies between 'low' {ask.low} and 'high' {ask.high}"
            yield Fault(flow.file, screen.line, what, "give the smaller one as 'low'", place)
    if ask and ask.kind is AskKind.COUNT_OF and ask.high is None:
        yield Fault(flow.file, screen.line, "the count has no largest sample", "give 'most'", place)
    options = (
        len(registry.entries(ask.source)) if ask and ask.kind is AskKind.PICK else len(ask.choices) if ask else 0
    )
    if options > MOST_CHOICES:
        what = f"{options} choices, {MOST_CHOICES} are allowed"
        shorter = f"make the list '{ask.source}' shorter, or " if ask and ask.source else ""
        yield Fault(flow.file, screen.line, what, f"{shorter}group them on two screens", place)


def _condition_names(registry: Registry) -> list[str]:
    return [condition.name for condition in registry.conditions]


def _blind(
    flow: Flow,
    screen: Screen,
    place: str,
    edge: Edge,
    condition: Condition,
    registry: Registry,
    answers: Set[str],
) -> Iterable[Fault]:
    """A condition looks at results of the screen's own calculation, or at answers of the flow that it calls."""
    calculation = registry.calculation(screen.work) if screen.work and not screen.call else None
    given = dict(calculation.gives) if calculation else {}
    works = set(calculation.also) if calculation else set()
    for need in condition.needs:
        if "." not in need and need not in given and need not in works and need not in answers:
            instead = "name the calculation that gives it under 'work'"
            yield Fault(
                flow.file, edge.line, f"'{edge.when}' looks at '{need}', which is not here", instead, place
            )


def _unknown_values(material: Material, sound: list[tuple[Flow, Screen]], registry: Registry) -> Iterable[Fault]:
    flows = material.flows
    kinds = kinds_of(flows, registry)
    yield from _disagreements(flows, registry)
    yield from _two_of_a_name(flows, registry)
    ruled = {rule.name for flow in flows.values() for rule in flow.facts}
    kept = {name for flow in flows.values() for screen in flow.screens for name in facts_kept(screen)}
    if material.all_read:
        yield from _never_kept(flows, kept)
    given_in: dict[str, set[str]] = {}
    for owner, name in kinds:
        given_in.setdefault(owner, set()).add(name)
    known_in = {flow: ruled | kept | given_in.get(flow, set()) for flow in flows}
    unsure_in = {
        flow.name
        for flow in flows.values()
        if not all(_is_known_work(screen, registry) for screen in flow.screens)
    }
    unasked = _unsure(flows, registry)
    for flow, screen in sound:
        place = f"{flow.name}.{screen.name}"
        for name in facts_kept(screen):
            # The head of a flow that could not be read may say it.
            if name not in ruled and material.all_read:
                instead = f"add '{name}: 300 days' under 'facts'"
                yield Fault(flow.file, screen.line, f"nobody says how long '{name}' holds", instead, place)
        for fault, name in _strangers(flow, screen, place, known_in[flow.name]):
            # What gives it may stand in a part that could not be read, or behind a calculation that is none.
            if material.all_read or (material.is_whole(flow.name) and "." not in name):
                yield from () if flow.name in unsure_in and "." not in name else (fault,)
        # A wrong calculation is a fault already; what it would give is not known then.
        yield from (
            _unnamed(material, flow, screen, place, kinds, unasked) if _is_known_work(screen, registry) else ()
        )


def facts_kept(screen: Screen) -> tuple[str, ...]:
    """Names of the facts that a screen keeps."""
    return tuple(name for name in (screen.keep, *(fact for fact, _ in screen.keeps)) if "." in name)


def _is_known_work(screen: Screen, registry: Registry) -> bool:
    return not screen.work or registry.calculation(screen.work) is not None


def _never_kept(flows: Mapping[str, Flow], kept: set[str]) -> Iterable[Fault]:
    for flow in flows.values():
        for rule in flow.facts:
            if rule.name not in kept:
                what = f"no screen keeps '{rule.name}'"
                yield Fault(flow.file, rule.line, what, "mend the name, or take it out")


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


def _two_of_a_name(flows: Mapping[str, Flow], registry: Registry) -> Iterable[Fault]:
    """One name that texts of a flow say for values of two kinds.

    What is said is proven and spelt by one of them: a value of the other could be wider, or refused on the phone.
    """
    for flow in flows.values():
        kinds: dict[str, tuple[Kind, str]] = {}
        for screen in flow.screens:
            for name, kind in _said(screen, registry):
                first, there = kinds.setdefault(name, (kind, screen.name))
                if kind != first:
                    what = f"'{name}' is another kind of value than on '{there}'"
                    instead = "let one of the two calculations or questions give it another name"
                    place = f"{flow.name}.{screen.name}"
                    yield Fault(flow.file, screen.line, what, instead, place)


def _said(screen: Screen, registry: Registry) -> Iterable[tuple[str, Kind]]:
    """What a screen's own text says of what it works out, with its kind; what it asks may be said further on."""
    say, given = screen.say, _given(screen, registry)
    try:
        named = set() if say is None else placeholders(say.text) | placeholders(say.other) | {say.count}
    except WordingError:
        named = set()  # that is a fault of the text
    return [(name, kind) for name, kind in given.items() if "." not in name and name in {*named, screen.keep}]


def _strangers(flow: Flow, screen: Screen, place: str, known: set[str]) -> Iterable[tuple[Fault, str]]:
    """Names under 'known', 'forget' and 'keeps' that stand for nothing; a slip there would be silent."""
    answers = known | {other.keep for other in flow.screens if other.keep}
    named = [(edge.known, edge.line) for edge in flow.edges(screen) if edge.known]
    options = screen.ask.options if screen.ask else ()
    named += [(name, choice.line) for choice in options for name in choice.forgets]
    named += [(name, screen.line) for name in screen.forgets]
    named += [(line.known, line.line) for line in screen.ask.lines if line.known] if screen.ask else []
    named += [(source, screen.line) for _, source in screen.keeps]
    named += [(screen.ask.sown, screen.line)] if screen.ask and screen.ask.sown else []
    for name, line in named:
        if name not in answers:
            instead = instead_of(name, answers)
            yield Fault(flow.file, line, f"nothing is known as '{name}'", instead, place), name


def _unsure(flows: Mapping[str, Flow], registry: Registry) -> set[str]:
    """Names of answers whose question cannot be asked as it stands; that is a fault already."""
    return {
        screen.keep
        for flow in flows.values()
        for screen in flow.screens
        if screen.ask and screen.ask.kind is not AskKind.CHOICE and _ask_kind(screen.ask, registry) is None
    }


def _unnamed_in_lines(
    flow: Flow, screen: Screen, place: str, kinds: Mapping[tuple[str, str], Kind]
) -> Iterable[Fault]:
    """Values in the lines of a list of the grower's own: its number, and facts that the line says are known."""
    ask = screen.ask
    for line in ask.lines if ask else ():
        assert ask is not None
        try:
            names = placeholders(line.say) - {NUMBER}
        except WordingError as error:
            yield Fault(flow.file, line.line, str(error), "mend the text", place)
            continue
        for name in sorted(names):
            fact = fact_named(ask, name)
            if ("", fact) not in kinds:
                known = [NUMBER, *(of.partition(".")[2] for _, of in kinds if of.startswith(f"{ask.source}."))]
                yield Fault(flow.file, line.line, f"nothing gives '{name}'", instead_of(name, known), place)
            elif fact != line.known:
                what = f"the line needs '{fact}', which not every {ask.source} has"
                yield Fault(flow.file, line.line, what, f"add 'known: {fact}' to it", place)


def _unnamed(
    material: Material,
    flow: Flow,
    screen: Screen,
    place: str,
    kinds: Mapping[tuple[str, str], Kind],
    unasked: Set[str],
) -> Iterable[Fault]:
    """Names in texts that stand for nothing; choices and help cannot name values at all."""
    options = screen.ask.options if screen.ask else ()
    plain = [(choice.say, choice.line, "a choice") for choice in options] + [(screen.help, screen.line, "'help'")]
    for text, line, where in plain:
        try:
            if names := placeholders(text):
                what = f"{where} names '{min(names)}', but only 'say' can name values"
                yield Fault(flow.file, line, what, "say it without the value", place)
        except WordingError as error:
            yield Fault(flow.file, line, str(error), "mend the text", place)
    yield from _unnamed_in_lines(flow, screen, place, kinds)
    say = screen.say
    if say is None:
        return
    try:
        names = placeholders(say.text) | placeholders(say.other) | ({say.count} if say.count else set())
    except WordingError as error:
        yield Fault(flow.file, say.line, str(error), "mend the text", place)
        return
    for name in sorted(names - unasked):
        if (flow.name, name) not in kinds and ("", name) not in kinds and material.is_whole(flow.name):
            instead = instead_of(name, (value for owner, value in kinds if owner in ("", flow.name)))
            yield Fault(flow.file, say.line, f"nothing gives '{name}'", instead, place)
    kind = kinds.get((flow.name, say.count)) or kinds.get(("", say.count))
    if say.count and kind and not isinstance(kind, Whole):
        what = f"'{say.count}' cannot choose between one and other: it is no whole number"
        yield Fault(flow.file, say.line, what, "count a whole number", place)
