"""What can be wrong with the ways between screens: lost targets, no last resort, circles, unreachable screens."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import MENU, RETURN, Edge, Flow, Screen
from advisor.dialogue.one_line_faults import one_line_faults

#: Flows open at once.
DEEPEST = 3


def graph_faults(flows: Mapping[str, Flow], root: str) -> list[Fault]:
    """Every fault in the ways between screens and flows.

    Args:
        flows: the flows by name.
        root: the flow that conversations begin in.
    """
    if root not in flows:
        return [Fault("flows", 0, f"there is no flow '{root}'", f"write {root}.yaml")]
    faults = [fault for flow in flows.values() for fault in _flow_faults(flow, flows)]
    menus = [screen for screen in flows[root].screens if screen.is_menu]
    if len(menus) != 1:
        what = f"the flow '{root}' has {len(menus)} menu screens"
        faults.append(Fault(flows[root].file, 0, what, "mark exactly one screen with 'menu: \"yes\"'"))
    for menu in menus:
        if menu.ask is None or menu.keep or menu.work:
            what = "the menu must be shown whatever is known"
            faults.append(
                Fault(flows[root].file, menu.line, what, "give it 'choices', and neither 'keep' nor 'work'")
            )
    return faults or [*_depth_faults(flows, root), *(f for flow in flows.values() for f in _silent_circles(flow))]


def _flow_faults(flow: Flow, flows: Mapping[str, Flow]) -> Iterable[Fault]:
    names = {screen.name for screen in flow.screens}
    for screen in flow.screens:
        place = f"{flow.name}.{screen.name}"
        for edge in flow.edges(screen):
            if edge.to not in names | {RETURN, MENU}:
                instead = f"write one of: {', '.join(sorted(names))}, {RETURN}, {MENU}"
                yield Fault(flow.file, edge.line, f"there is no screen '{edge.to}'", instead, place)
        for ways in _lists(screen):
            if ways and any(ways) and (ways[-1].when or ways[-1].known):
                instead = "end the list with a way without 'when' and 'known'"
                yield Fault(flow.file, ways[-1].line, "the list of ways has no last resort", instead, place)
        if screen.call and screen.call not in flows:
            instead = f"write one of: {', '.join(sorted(flows))}"
            yield Fault(flow.file, screen.line, f"there is no flow '{screen.call}'", instead, place)
        yield from _send_faults(flow, screen, place)
    yield from one_line_faults(flow)
    reached = _reached(flow)
    for screen in flow.screens:
        if screen.name not in reached:
            place = f"{flow.name}.{screen.name}"
            yield Fault(flow.file, screen.line, "no way leads to this screen", "lead to it or take it out", place)


def _send_faults(flow: Flow, screen: Screen, place: str) -> Iterable[Fault]:
    for choice in screen.ask.options if screen.ask else ():
        sent = flow.screen(choice.sends) if choice.sends else None
        if choice.sends and (sent is None or sent.say is None or sent.ask is not None):
            instead = "name a screen of this flow that says something and asks nothing"
            yield Fault(flow.file, choice.line, f"'{choice.sends}' cannot be sent", instead, place)


def _lists(screen: Screen) -> Iterable[tuple[Edge, ...]]:
    yield screen.to
    yield from (choice.to for choice in screen.ask.options) if screen.ask else ()


def _reached(flow: Flow) -> set[str]:
    reached: set[str] = set()
    waiting = [flow.start, *(one_line.to for one_line in flow.one_lines)]
    while waiting:
        name = waiting.pop()
        screen = flow.screen(name)
        if name in reached or screen is None:
            continue
        reached.add(name)
        waiting += [edge.to for edge in flow.edges(screen)]
        waiting += [choice.sends for choice in screen.ask.options if choice.sends] if screen.ask else []
    return reached


def _depth_faults(flows: Mapping[str, Flow], root: str) -> Iterable[Fault]:
    waiting: list[tuple[str, ...]] = [(root,)]
    called: set[str] = set()
    while waiting:
        path = waiting.pop()
        called.add(path[-1])
        for screen in flows[path[-1]].screens:
            if not screen.call:
                continue
            place = f"{path[-1]}.{screen.name}"
            if screen.call in path:
                what = f"the flows call each other in a circle: {' > '.join((*path, screen.call))}"
                yield Fault(flows[path[-1]].file, screen.line, what, "take one call out", place)
            elif len(path) >= DEEPEST:
                what = f"more than {DEEPEST} flows open at once: {' > '.join((*path, screen.call))}"
                yield Fault(flows[path[-1]].file, screen.line, what, "call it from further out", place)
            else:
                waiting.append((*path, screen.call))
    for name, flow in flows.items():
        if name not in called:
            yield Fault(flow.file, 0, f"no flow calls '{name}'", f"call it from '{root}' or take it out")


def _silent_circles(flow: Flow) -> Iterable[Fault]:
    """Steps that are not shown must not lead back to themselves without a screen between.

    A question for a fact counts as not shown, since it is passed over while the fact is known.
    """
    silent = {
        screen.name: screen
        for screen in flow.screens
        if not screen.call and (screen.say is None or "." in screen.keep)
    }
    for name in silent:
        seen: set[str] = set()
        waiting = [edge.to for edge in flow.edges(silent[name])]
        while waiting:
            target = waiting.pop()
            if target == name:
                place = f"{flow.name}.{name}"
                yield Fault(flow.file, silent[name].line, "steps lead in a circle", "show a screen between", place)
                break
            if target in silent and target not in seen:
                seen.add(target)
                waiting += [edge.to for edge in flow.edges(silent[target])]
