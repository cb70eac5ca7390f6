"""The proof that every value is known where it is named: on every path, whatever was answered on the way.

For each screen the set of names is worked out that are known whichever way one came: the intersection over all
ways that lead there. Results of a calculation are known on its own screen only; what a condition says of them
goes along to the next screen if that names the same calculation and nothing was learnt in between. A flow that is
called knows what every caller knows, and its caller then knows what every way back from it has learnt.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass

from advisor.dialogue.checks.material import Material
from advisor.dialogue.checks.names import kinds_of
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import FORGETTING, MENU, RETURN, AskKind, Choice, Edge, Flow, Say, Screen
from advisor.dialogue.registry import Registry
from advisor.dialogue.several import is_lost_with, switched_scopes
from advisor.dialogue.talk import Spot
from advisor.wording.errors import BadPlaceholder
from advisor.wording.templates import placeholders


@dataclass(frozen=True, slots=True)
class _Known:
    """Names known at a point: facts and answers, and results of the calculation named there."""

    facts: frozenset[str]
    results: frozenset[str] = frozenset()

    def meet(self, other: _Known) -> _Known:
        return _Known(self.facts & other.facts, self.results & other.results)


def path_faults(material: Material, registry: Registry, root: str) -> tuple[list[Fault], list[str]]:
    """Every value that a calculation, a condition or a text needs where some path does not bring it.

    Args:
        material: the flows; nothing is followed out of what could not be read or is not there, so that no fault
            is told that would be gone once that is mended.
        registry: what they may name.
        root: the flow that conversations begin in.

    Returns:
        The faults, and what was not looked at with the reason.
    """
    flows = material.flows
    if root not in flows or not any(screen.is_menu for screen in flows[root].screens):
        return [], [f"whether values are known on every path: the flow '{root}' or its menu is not there"]
    paths = _Paths(material, registry, root)
    kinds = kinds_of(flows, registry)
    named = {flow: {name for owner, name in kinds if owner in ("", flow)} for flow in flows}
    known = paths.known()
    faults = [
        fault
        for spot, here in known.items()
        if spot not in material.unsound and _can_be_followed(_screen(flows, spot), material, registry)
        for fault in _faults(flows[spot.flow], _screen(flows, spot), here, registry, named[spot.flow], paths.back)
    ]
    left = [
        f"whether values are known behind {spot.flow}.{spot.screen}: its own fault comes first"
        for spot in sorted(paths.stopped, key=str)
    ]
    return faults, left


def _can_be_followed(screen: Screen, material: Material, registry: Registry) -> bool:
    """Whether what a screen learns can be worked out."""
    return (not screen.work or registry.calculation(screen.work) is not None) and (
        not screen.call or screen.call in material.flows
    )


class _Paths:
    """Goes over all ways again and again until nothing new is found out; sets only ever get smaller."""

    def __init__(self, material: Material, registry: Registry, root: str) -> None:
        self.material = material
        self.flows = flows = material.flows
        self.registry = registry
        self.menu = next(Spot(root, screen.name) for screen in flows[root].screens if screen.is_menu)
        self.at: dict[Spot, _Known] = {}
        self.back: dict[str, frozenset[str]] = {}
        self.stopped: set[Spot] = set()
        self._reach(Spot(root, flows[root].start), _Known(frozenset()))
        for flow in flows.values():
            for one_line in flow.one_lines:
                # An SMS in one line brings the answer to one question, and what is assumed; nothing else is sure.
                asked = flow.screen(one_line.answers)
                told = {fact for fact, _ in one_line.assumes} | ({asked.keep} if asked else set())
                self._reach(Spot(flow.name, one_line.to), _Known(frozenset(told)))

    def known(self) -> dict[Spot, _Known]:
        # A screen is left again only where something else is known there, or behind the flow that it calls.
        left: dict[Spot, tuple[_Known, frozenset[str] | None]] = {}
        is_settled = False
        while not is_settled:
            is_settled = True
            for spot in tuple(self.at):
                now = (self.at[spot], self.back.get(_screen(self.flows, spot).call))
                if left.get(spot) != now:
                    left[spot] = now
                    is_settled = False
                    self._leave(spot)
        return self.at

    def _leave(self, spot: Spot) -> None:
        screen, here = _screen(self.flows, spot), _here(_screen(self.flows, spot), self.at[spot], self.registry)
        if spot in self.material.unsound or not _can_be_followed(screen, self.material, self.registry):
            self.stopped.add(spot)
            return
        if screen.say and not screen.ends and spot.flow != self.menu.flow:
            # The menu key leads there from any screen, whatever was forgotten on the way. In the flow of the menu
            # itself the key does nothing before the menu was shown once, and afterwards all of that is known.
            self._reach(self.menu, _Known(here.facts))
        facts = here.facts | {fact for fact, _ in screen.keeps}
        if screen.call:
            self._reach(Spot(screen.call, self.flows[screen.call].start), _Known(facts))
            if screen.call not in self.back:
                return
            facts = (facts - self._lost_in(screen.call, facts)) | self.back[screen.call]
        for choice, edges in _ways(screen):
            forgets = _lost_by(screen, choice, facts)
            kept = frozenset({screen.keep} if screen.keep and not _is_aside(screen, choice) else ())
            learnt = bool(kept or forgets or screen.keeps or screen.call)
            for edge in edges:
                self._follow(spot, edge, _Known((facts - forgets) | kept, here.results), learnt)
            if choice and choice.sends:
                self._reach(
                    Spot(spot.flow, choice.sends), self._carried(screen, Spot(spot.flow, choice.sends), here)
                )

    def _lost_in(self, name: str, facts: frozenset[str]) -> frozenset[str]:
        """What is lost in a flow that is called, or one that it calls, by an answer."""
        lost: frozenset[str] = frozenset()
        seen: set[str] = set()
        waiting = [name]
        while waiting:
            flow = self.flows.get(waiting.pop())
            if flow is None or flow.name in seen:
                continue
            seen.add(flow.name)
            for screen in flow.screens:
                waiting += [screen.call] if screen.call else []
                for choice, _ in _ways(screen):
                    lost |= _lost_by(screen, choice, facts)
        return lost

    def _follow(self, spot: Spot, edge: Edge, out: _Known, learnt: bool) -> None:
        facts = out.facts | ({edge.known} if edge.known else set())
        if edge.to == RETURN:
            self.back[spot.flow] = self.back.get(spot.flow, facts) & facts
            return
        target = self.menu if edge.to == MENU else Spot(spot.flow, edge.to)
        condition = self.registry.condition(edge.when)
        results = out.results | frozenset(condition.shows if condition else ())
        carried = (
            _Known(facts) if learnt else self._carried(_screen(self.flows, spot), target, _Known(facts, results))
        )
        self._reach(target, carried)

    def _carried(self, screen: Screen, target: Spot, known: _Known) -> _Known:
        if self.flows[target.flow].screen(target.screen) is None:
            return known
        same = screen.work and screen.work == _screen(self.flows, target).work
        return known if same else _Known(known.facts)

    def _reach(self, spot: Spot, known: _Known) -> None:
        if self.flows[spot.flow].screen(spot.screen) is None:
            return
        before = self.at.get(spot)
        if before is None:
            self.at[spot] = known
        elif not (before.facts <= known.facts and before.results <= known.results):
            self.at[spot] = before.meet(known)


def _screen(flows: Mapping[str, Flow], spot: Spot) -> Screen:
    screen = flows[spot.flow].screen(spot.screen)
    assert screen is not None
    return screen


def _here(screen: Screen, known: _Known, registry: Registry) -> _Known:
    """What is known on a screen once its calculation has run."""
    calculation = registry.calculation(screen.work) if screen.work else None
    return _Known(known.facts, known.results | calculation.always) if calculation else _Known(known.facts)


def _names_in(say: Say) -> frozenset[str]:
    try:
        return placeholders(say.text) | placeholders(say.other) | ({say.count} if say.count else set())
    except BadPlaceholder:
        return frozenset()


def _is_aside(screen: Screen, choice: Choice | None) -> bool:
    """Whether a way leads elsewhere and answers nothing, as that of 0 and what does not stand on the screen."""
    return screen.ask is not None and not screen.ask.is_kept(choice)


def _lost_by(screen: Screen, choice: Choice | None, facts: frozenset[str]) -> frozenset[str]:
    """What does not hold any more behind an answer: it forgets it, or takes another plot or lot in hand."""
    if choice and choice.does in FORGETTING:
        return facts
    forgets = frozenset(() if _is_aside(screen, choice) else screen.forgets)
    forgets |= frozenset(choice.forgets if choice else ())
    scopes = {choice.begins, choice.drops} - {""} if choice else set(switched_scopes(screen))
    return forgets | frozenset(name for name in facts for scope in scopes if is_lost_with(scope, name))


def _ways(screen: Screen) -> Iterator[tuple[Choice | None, tuple[Edge, ...]]]:
    """The ways out of a screen, each with the choice that opens it."""
    ask = screen.ask
    for choice in ask.leading if ask else ():
        yield choice, choice.to or screen.to
    if ask is None or ask.kind is not AskKind.CHOICE:
        yield None, screen.to


def _faults(
    flow: Flow,
    screen: Screen,
    known: _Known,
    registry: Registry,
    named: Set[str],
    back: Mapping[str, frozenset[str]],
) -> Iterable[Fault]:
    place = f"{flow.name}.{screen.name}"

    def missing(names: Iterable[str], have: frozenset[str], line: int, who: str) -> Iterator[Fault]:
        for name in sorted(frozenset(names) - have):
            what = f"{who} needs '{name}', which is not known on every path to here"
            yield Fault(flow.file, line, what, "ask for it before, or lead here only where it is known", place)

    calculation = registry.calculation(screen.work) if screen.work else None
    if calculation:
        yield from missing(calculation.needs, known.facts, screen.line, f"'{calculation.name}'")
    here = _here(screen, known, registry)
    if screen.say:
        say = screen.say
        # A name that nothing gives anywhere is a fault of its own.
        yield from missing(_names_in(say) & named, here.facts | here.results, say.line, "the text")
    given = here.results | frozenset(calculation.sometimes if calculation else ())
    for source in (name for _, name in screen.keeps):
        yield from missing({source} & named, here.facts | here.results, screen.line, "'keeps'")
    for edge in flow.edges(screen):
        condition = registry.condition(edge.when)
        if condition:
            kept = frozenset({screen.keep} if screen.keep else ()) | back.get(screen.call, frozenset())
            yield from missing(condition.needs, here.facts | given | kept, edge.line, f"'{edge.when}'")
