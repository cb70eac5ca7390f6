"""What can be wrong with the ways between screens: lost targets, no last resort, dead ways and screens."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.dialogue.checks.material import Material
from advisor.dialogue.checks.one_line_faults import one_line_faults
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import LISTS, MENU, RETURN, VEILED, AskKind, Edge, Flow, Screen
from advisor.dialogue.nearby import instead_of
from advisor.dialogue.talk import Spot


def graph_faults(material: Material, root: str) -> list[Fault]:
    """Every fault in the ways out of each screen, and every screen that nothing leads to.

    Args:
        material: the flows.
        root: the flow that conversations begin in.
    """
    flows = material.flows
    faults = [fault for flow in flows.values() for fault in _flow_faults(flow, material)]
    if root in flows:
        faults += _menu_faults(flows[root], whole=material.is_whole(root))
    elif root not in material.unread:
        faults.append(Fault("flows", 0, f"there is no flow '{root}'", f"write {root}.yaml"))
    return faults


def _menu_faults(flow: Flow, *, whole: bool) -> Iterable[Fault]:
    menus = [screen for screen in flow.screens if screen.is_menu]
    if whole and len(menus) != 1:
        line = menus[1].line if menus else next((screen.line for screen in flow.screens), 1)
        what = f"the flow '{flow.name}' has {len(menus)} menu screens"
        yield Fault(flow.file, line, what, "mark exactly one screen with 'menu: \"yes\"'")
    for menu in menus:
        if menu.ask is None or menu.keep or menu.work:
            what = "the menu must be shown whatever is known"
            instead = "give it 'choices', and neither 'keep' nor 'work'"
            yield Fault(flow.file, menu.line, what, instead, f"{flow.name}.{menu.name}")


def _flow_faults(flow: Flow, material: Material) -> Iterable[Fault]:
    names = {screen.name for screen in flow.screens}
    for screen in flow.screens:
        if Spot(flow.name, screen.name) in material.unsound:
            continue
        place = f"{flow.name}.{screen.name}"
        for edge in flow.edges(screen):
            if edge.to not in names | {RETURN, MENU}:
                instead = instead_of(edge.to, names | {RETURN, MENU})
                instead = instead if instead.startswith("did") else f"add the screen, or {instead}"
                yield Fault(flow.file, edge.line, f"there is no screen '{edge.to}'", instead, place)
        yield from _list_faults(flow, screen, place)
        yield from _other_faults(flow, screen, place)
        if screen.call and screen.call not in {*material.flows, *material.unread}:
            instead = instead_of(screen.call, {*material.flows, *material.unread})
            yield Fault(flow.file, screen.line, f"there is no flow '{screen.call}'", instead, place)
        yield from _send_faults(flow, screen, place)
    if material.is_whole(flow.name):
        yield from one_line_faults(flow)
        yield from _dead_screens(flow, names)


def _other_faults(flow: Flow, screen: Screen, place: str) -> Iterable[Fault]:
    """What does not stand on the screen can only answer a question that is typed."""
    for other in screen.ask.others if screen.ask else ():
        asked = flow.screen(other.way.to[0].to)
        if other.word or asked is None or (asked.ask is not None and asked.ask.kind not in (*LISTS, *VEILED)):
            continue
        what = f"'{asked.name}' asks for nothing that can be typed here"
        yield Fault(
            flow.file, other.way.line, what, "name a screen that asks for a day, a number or the like", place
        )


def _list_faults(flow: Flow, screen: Screen, place: str) -> Iterable[Fault]:
    for ways in _lists(screen):
        if ways and (ways[-1].when or ways[-1].known):
            instead = "end the list with a way without 'when' and 'known'"
            yield Fault(flow.file, ways[-1].line, "the list of ways has no last resort", instead, place)
        tried: set[tuple[str, str]] = set()
        for edge in ways:
            if ("", "") in tried or (edge.when, edge.known) in tried:
                what = f"the way to '{edge.to}' is never taken: one before it always comes first"
                yield Fault(flow.file, edge.line, what, "put the way without a condition last", place)
            tried.add((edge.when, edge.known))
    yield from _line_faults(flow, screen, place)
    if screen.to and _to_is_dead(screen):
        what = "the screen's own 'to' is never taken: every choice has its own"
        yield Fault(flow.file, screen.to[0].line, what, "take it out", place)


def _line_faults(flow: Flow, screen: Screen, place: str) -> Iterable[Fault]:
    """A list of the grower's own must have a line for each of them, whatever is known of it."""
    lines = screen.ask.lines if screen.ask else ()
    if lines and (lines[-1].when or lines[-1].known):
        instead = "end 'lines' with one without 'when' and 'known'"
        yield Fault(flow.file, lines[-1].line, "the list of lines has no last resort", instead, place)
    tried: set[tuple[str, str]] = set()
    for line in lines:
        if ("", "") in tried or (line.when, line.known) in tried:
            what = f"the line '{line.say}' is never said: one before it always comes first"
            yield Fault(flow.file, line.line, what, "put the line without a condition last", place)
        tried.add((line.when, line.known))


def _to_is_dead(screen: Screen) -> bool:
    ask = screen.ask
    return ask is not None and ask.kind is AskKind.CHOICE and all(choice.to for choice in ask.choices)


def _send_faults(flow: Flow, screen: Screen, place: str) -> Iterable[Fault]:
    for choice in screen.ask.options if screen.ask else ():
        sent = flow.screen(choice.sends) if choice.sends else None
        if choice.sends and (sent is None or sent.say is None or sent.ask is not None):
            instead = "name a screen of this flow that says something and asks nothing"
            yield Fault(flow.file, choice.line, f"'{choice.sends}' cannot be sent", instead, place)


def _lists(screen: Screen) -> Iterable[tuple[Edge, ...]]:
    yield screen.to
    yield from (choice.to for choice in screen.ask.options) if screen.ask else ()


def _dead_screens(flow: Flow, names: set[str]) -> Iterable[Fault]:
    lost = {edge.to for screen in flow.screens for edge in flow.edges(screen)} - names - {RETURN, MENU}
    if flow.start not in names or lost:
        return  # the lost way may be the one that leads there; once it is mended this is looked at
    reached = reached_screens(flow)
    for screen in flow.screens:
        if screen.name not in reached and not screen.is_menu:
            place = f"{flow.name}.{screen.name}"
            yield Fault(flow.file, screen.line, "no way leads to this screen", "lead to it or take it out", place)


def ways_out(flow: Flow, screen: Screen) -> tuple[Edge, ...]:
    """Every way that can be taken out of a screen; one that never is taken leads nowhere."""
    edges = flow.edges(screen)
    return edges[: len(edges) - len(screen.to)] if _to_is_dead(screen) else edges


def reached_screens(flow: Flow) -> set[str]:
    """Names of the screens that can be come to from the start, by a way or as an SMS."""
    reached: set[str] = set()
    waiting = [flow.start, *(one_line.to for one_line in flow.one_lines)]
    while waiting:
        name = waiting.pop()
        screen = flow.screen(name)
        if name in reached or screen is None:
            continue
        reached.add(name)
        waiting += [edge.to for edge in ways_out(flow, screen)]
        waiting += [choice.sends for choice in screen.ask.options if choice.sends] if screen.ask else []
    return reached


def lost_ways(flows: Mapping[str, Flow]) -> Iterable[str]:
    """Names of the flows of which a way leads to no screen."""
    for flow in flows.values():
        names = {screen.name for screen in flow.screens} | {RETURN, MENU}
        if any(edge.to not in names for screen in flow.screens for edge in flow.edges(screen)):
            yield flow.name
