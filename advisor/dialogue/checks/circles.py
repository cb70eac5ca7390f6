"""Ways that never come to anything: flows that call each other, circles never shown, screens without an end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.dialogue.checks.graph import ways_out
from advisor.dialogue.checks.material import Material
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import MENU, RETURN, Edge, Flow, Screen
from advisor.dialogue.several import most_of_own
from advisor.dialogue.talk import Spot

#: Flows open at once.
DEEPEST = 3
#: Steps of one flow, with the flows it calls, that may go unseen one after the other; a walk follows three times
#: as many, since it may leave three flows on its way.
MOST_UNSEEN = 20


def circle_faults(material: Material, root: str) -> list[Fault]:
    """Every circle of calls or of steps that are not shown, calls too deep, and screens that lead to no end.

    Args:
        material: the flows.
        root: the flow that conversations begin in.
    """
    flows = material.flows
    circles = [*_call_faults(flows, root), *_silent_circles(flows)]
    faults = [*circles, *_endless(material)]
    if not circles:
        faults += _too_long(flows)
    if root in flows and material.all_read:
        faults += _uncalled(flows, root)
    return faults


def _call_faults(flows: Mapping[str, Flow], root: str) -> Iterable[Fault]:
    told: set[frozenset[str]] = set()
    waiting: list[tuple[str, ...]] = [(name,) for name in sorted(flows, key=lambda name: name != root)]
    while waiting:
        path = waiting.pop(0)
        for screen in flows[path[-1]].screens:
            if screen.call not in flows:
                continue
            further = (*path, screen.call)
            place = f"{path[-1]}.{screen.name}"
            said = " > ".join(further)
            if screen.call in path:
                # From each flow of a circle the same circle is found; it is told once.
                if screen.call == path[0] and frozenset(path) not in told:
                    told.add(frozenset(path))
                    what = f"the flows call each other in a circle: {said}"
                    yield Fault(flows[path[-1]].file, screen.line, what, "take one call out", place)
            elif path[0] == root and len(path) == DEEPEST:
                what = f"more than {DEEPEST} flows open at once: {said}"
                yield Fault(flows[path[-1]].file, screen.line, what, "call it from further out", place)
                waiting.append(further)
            else:
                waiting.append(further)


def _uncalled(flows: Mapping[str, Flow], root: str) -> Iterable[Fault]:
    called, waiting = {root}, [root]
    while waiting:
        for screen in flows[waiting.pop()].screens:
            if screen.call in flows and screen.call not in called:
                called.add(screen.call)
                waiting.append(screen.call)
    for name, flow in flows.items():
        if name not in called:
            yield Fault(flow.file, 1, f"no flow calls '{name}'", f"call it from '{root}' or take it out")


def _is_silent(screen: Screen) -> bool:
    """Whether a screen may be passed over: it says nothing, or asks for a fact that may be known."""
    return screen.say is None or "." in screen.keep or most_of_own(screen) > 0


def _silent_circles(flows: Mapping[str, Flow]) -> Iterable[Fault]:
    """Steps that are not shown must not lead back to themselves without a screen between, nor through a call."""
    passed = _passed_unseen(flows)
    for flow in flows.values():
        silent = _silent(flow, passed)
        told: set[str] = set()
        for screen in flow.screens:
            circle = _around(screen.name, silent)
            if circle and not told & circle:
                told |= circle
                what = f"steps lead in a circle that is never shown: {', '.join(sorted(circle))}"
                place = f"{flow.name}.{screen.name}"
                yield Fault(flow.file, screen.line, what, "show a screen between", place)


def _silent(flow: Flow, passed: set[str]) -> dict[str, list[str]]:
    """The steps of a flow that may go unseen, each with where it leads."""
    return {
        screen.name: [edge.to for edge in ways_out(flow, screen) if edge not in _said(screen)]
        for screen in flow.screens
        if _is_silent(screen) and (not screen.call or screen.call in passed)
    }


def _said(screen: Screen) -> list[Edge]:
    """Ways that only somebody takes who was shown the screen."""
    return [edge for other in screen.ask.others for edge in other.way.to] if screen.ask else []


def _too_long(flows: Mapping[str, Flow]) -> Iterable[Fault]:
    """More steps unseen in a row than a walk follows; only to be asked where there is no circle."""
    passed = _passed_unseen(flows)
    silent = {name: _silent(flow, passed) for name, flow in flows.items()}
    lengths: dict[Spot, int] = {}

    def length(spot: Spot) -> int:
        """Steps from here on, those of flows called on the way among them."""
        if spot.screen not in silent.get(spot.flow, {}):
            return 0
        if spot not in lengths:
            screen = flows[spot.flow].screen(spot.screen)
            call = screen.call if screen else ""
            inside = length(Spot(call, flows[call].start)) if call else 0
            ahead = (length(Spot(spot.flow, target)) for target in silent[spot.flow][spot.screen])
            lengths[spot] = 1 + inside + max(ahead, default=0)
        return lengths[spot]

    for flow in flows.values():
        longest = max(flow.screens, key=lambda screen: length(Spot(flow.name, screen.name)), default=None)
        steps = length(Spot(flow.name, longest.name)) if longest else 0
        if longest and steps > MOST_UNSEEN:
            what = f"{steps} steps in a row may go unseen, {MOST_UNSEEN} are allowed"
            yield Fault(flow.file, longest.line, what, "show a screen between", f"{flow.name}.{longest.name}")


def _around(name: str, ways: Mapping[str, list[str]]) -> set[str]:
    """The steps that lead from one back to itself, none where it cannot be come back to."""
    ahead = _ahead(name, ways)
    return {other for other in ahead if name in _ahead(other, ways)} if name in ahead else set()


def _ahead(name: str, ways: Mapping[str, list[str]]) -> set[str]:
    seen: set[str] = set()
    waiting = list(ways.get(name, ()))
    while waiting:
        target = waiting.pop()
        if target in ways and target not in seen:
            seen.add(target)
            waiting += ways[target]
    return seen


def _passed_unseen(flows: Mapping[str, Flow]) -> set[str]:
    """Flows that may be gone through from the start to their return without a screen being shown."""
    passed: set[str] = set()
    before = -1
    while before != len(passed):
        before = len(passed)
        for flow in flows.values():
            silent = _silent(flow, passed)
            reached = {flow.start} & silent.keys() | _ahead(flow.start, silent)
            if any(RETURN in silent[name] for name in reached):
                passed.add(flow.name)
    return passed


def _endless(material: Material) -> Iterable[Fault]:
    """Screens from which no way leads to an end, to the menu or back to the calling flow."""
    flows = material.flows
    targets = {
        Spot(flow.name, screen.name): {edge.to for edge in ways_out(flow, screen)}
        for flow in flows.values()
        for screen in flow.screens
    }
    screens = {Spot(flow.name, screen.name): screen for flow in flows.values() for screen in flow.screens}
    ends = {spot for spot, screen in screens.items() if screen.ends or screen.is_menu or spot in material.unsound}

    def start(spot: Spot) -> Spot | None:
        called = flows.get(screens[spot].call)
        return Spot(called.name, called.start) if called else None

    def passes(spot: Spot, back: set[Spot]) -> bool:
        """Whether the ways out are come to at all: behind a call only once the called flow comes back."""
        called = start(spot)
        return called is None or called in back or not material.is_whole(called.flow)

    def spread(goals: set[Spot], out: str, back: set[Spot] | None) -> set[Spot]:
        """All screens that come to one of the goals, or to a way that leads out."""
        found = set(goals)
        before = -1
        while before != len(found):
            before = len(found)
            for spot, names in targets.items():
                inside = back is not None and start(spot) in found
                leads = any(name == out or Spot(spot.flow, name) in found for name in names)
                if inside or (leads and passes(spot, found if back is None else back)):
                    found.add(spot)
        return found

    lost = {spot for spot, names in targets.items() if any(_is_lost(spot, name, screens) for name in names)}
    back = spread(lost, RETURN, None)
    ending = spread(ends | lost, MENU, back)
    for spot, screen in screens.items():
        if spot not in back | ending:
            what = "no way leads from here to an end, to the menu or back to the calling flow"
            instead = "give it, or a screen behind it, a way to 'menu', 'return' or an end"
            yield Fault(flows[spot.flow].file, screen.line, what, instead, f"{spot.flow}.{spot.screen}")


def _is_lost(spot: Spot, name: str, screens: Mapping[Spot, Screen]) -> bool:
    """Whether a way leads to no screen; once it is mended it may well come to an end."""
    return name not in (RETURN, MENU) and Spot(spot.flow, name) not in screens
