"""What can be wrong with the answers to an SMS in one line, as the flows and the glossaries declare them."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import MENU, RETURN, AskKind, Flow, OneLine, Screen

#: Questions whose answer is an amount, and whose example is the same on every day.
_AMOUNTS = (AskKind.NUMBER, AskKind.AREA, AskKind.COUNT_OF, AskKind.MONEY)


def one_line_faults(flow: Flow) -> Iterable[Fault]:
    """What is wrong with the one-line answers of one flow by itself: lost names, a way that asks something."""
    for one_line in flow.one_lines:
        place = f"{flow.name}.{one_line.keyword}"
        if one_line.answers and not _is_amount(flow.screen(one_line.answers)):
            instead = "name a screen of this flow that asks for a number or a measure and keeps it"
            yield Fault(flow.file, one_line.line, f"'{one_line.answers}' cannot be answered", instead, place)
        for fact, value in one_line.assumes:
            if value not in _values(flow, fact):
                known = ", ".join(sorted(_values(flow, fact))) or "nothing"
                what = f"'{fact}' is never '{value}'"
                yield Fault(flow.file, one_line.line, what, f"assume what a choice keeps: {known}", place)
        yield from _way_faults(flow, one_line, place)
    answers = answering_screens(flow)
    for screen in flow.screens:
        options = screen.ask.options if screen.ask else ()
        shown = [(edge.to, edge.line) for edge in flow.edges(screen) if screen.say or screen.call]
        for name, line in (*shown, *((choice.sends, choice.line) for choice in options)):
            if name in answers:
                what = f"'{name}' is the answer to an SMS in one line, and no page of a conversation"
                place = f"{flow.name}.{screen.name}"
                yield Fault(flow.file, line, what, "make a screen of its own for each", place)


def answering_screens(flow: Flow) -> frozenset[str]:
    """Names of the screens that can be the answer to an SMS in one line."""
    reached = {one_line.to for one_line in flow.one_lines}
    waiting = list(reached)
    while waiting:
        screen = flow.screen(waiting.pop())
        new = {edge.to for edge in screen.to} - reached if screen else set()
        reached |= new
        waiting += new
    return frozenset(name for name in reached if (screen := flow.screen(name)) and screen.say)


def _is_amount(asked: Screen | None) -> bool:
    return asked is not None and asked.ask is not None and asked.ask.kind in _AMOUNTS and bool(asked.keep)


def _values(flow: Flow, fact: str) -> set[str]:
    """Values that choices of a flow keep under a fact."""
    asking = [screen.ask for screen in flow.screens if screen.keep == fact and screen.ask]
    return {choice.value for ask in asking for choice in ask.choices}


def _way_faults(flow: Flow, one_line: OneLine, place: str) -> Iterable[Fault]:
    """From the first step on nothing may be asked, called or kept, and every way ends with a text."""
    seen: set[str] = set()
    waiting = [(one_line.to, one_line.line)]
    while waiting:
        name, line = waiting.pop()
        screen = flow.screen(name)
        if screen is None and line != one_line.line and name not in (MENU, RETURN):
            continue  # named already, as any way that leads nowhere
        if screen is None or name in (MENU, RETURN):
            what = f"'{name}' is no answer to a message"
            yield Fault(flow.file, line, what, "lead to a screen that says something and ends", place)
        elif name not in seen:
            seen.add(name)
            if not _is_answer(screen) and not _is_step(screen):
                instead = "lead only over steps that decide, to screens that say something and end"
                yield Fault(flow.file, screen.line, f"'{name}' cannot answer a message", instead, place)
            else:
                waiting += [(edge.to, edge.line) for edge in screen.to]


def _is_answer(screen: Screen) -> bool:
    return screen.say is not None and screen.ends


def _is_step(screen: Screen) -> bool:
    return screen.say is None and not screen.call and not screen.keeps
