"""The one door to ``transitions``: one machine a flow, built once, and a light cursor for each decision.

The machine is shared by all sessions and never holds one: a session's place is put into a throw-away cursor,
the screen's event is fired on it, and the cursor's new state is the way to go. Guards reach the library as
callables only, since it would import and call a dotted string; there are no library callbacks, no automatic
transitions and no queue, and every target is a known state before the machine is built.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from transitions import Machine

from advisor.dialogue.flows import MENU, RETURN, Edge, Flow, Screen
from advisor.dialogue.registry import Sight

GO = "go"
ZERO = "zero"

_Guard = Callable[[Sight], bool]


def choice_key(number: int) -> str:
    """The event of a choice, counted from 0."""
    return f"choice_{number}"


def other_key(number: int) -> str:
    """The event of an answer that does not stand on the screen, counted from 0."""
    return f"other_{number}"


class Way(NamedTuple):
    """A way out of a screen, as the machine has it.

    Args:
        screen: the screen that it leaves.
        key: what happened there: GO, ZERO, a choice or another answer.
        edge: the edge of the flow that it was made of; of several of one key the first that holds is taken.
        to: where it leads.
    """

    screen: str
    key: str
    edge: Edge
    to: str


class _Cursor:
    """Where one session stands, for the length of one decision."""

    __slots__ = ("state",)

    def __init__(self, state: str) -> None:
        self.state = state


class Router:
    """Finds the way out of a screen.

    Args:
        flow: the flow, all of whose targets exist.
        conditions: what each condition name stands for.
    """

    def __init__(self, flow: Flow, conditions: Mapping[str, _Guard]) -> None:
        self._flow = flow
        states = [*(screen.name for screen in flow.screens), RETURN, MENU]
        transitions = [
            {"trigger": key, "source": screen.name, "dest": edge.to, "conditions": _guards(edge, conditions)}
            for screen in flow.screens
            for key, edges in edges_by_key(screen)
            for edge in edges
        ]
        self._events = Machine(
            model=None,
            states=states,
            transitions=transitions,
            initial=flow.start,
            auto_transitions=False,
            queued=False,
        ).events
        # a way without conditions leads to one place only, so the machine is asked once and not for every message
        self._certain = {
            (screen.name, key): self._fired(screen.name, key, {})
            for screen in flow.screens
            for key, edges in edges_by_key(screen)
            if not _guards(edges[0], conditions)
        }
        # where a way leads the machine says too, once; which it is, the conditions say each time
        self._guarded = {
            (screen.name, key): tuple(tuple(_guards(edge, conditions)) for edge in edges)
            for screen in flow.screens
            for key, edges in edges_by_key(screen)
        }
        self._led: dict[tuple[str, str, int], str | None] = {}

    def certain(self, screen: str, key: str) -> str | None:
        """The target of a way without conditions, None where what is known decides."""
        return self._certain.get((screen, key))

    def way(self, screen: str, key: str, sight: Sight) -> str | None:
        """The target of the first way whose conditions hold.

        Args:
            screen: name of the screen to leave.
            key: what happened there: GO, ZERO, a choice or another answer.
            sight: what is known.

        Returns:
            Name of a screen, ``return`` or ``menu``; None when no way holds.
        """
        for place, guards in enumerate(self._guarded.get((screen, key), ())):
            for guard in guards:
                if not guard(sight):
                    break
            else:
                led = screen, key, place
                if led not in self._led:
                    self._led[led] = self._fired(screen, key, sight)
                return self._led[led]
        return None

    def ways(self) -> Iterator[Way]:
        """Every way that the machine has, in the order of the file; where each leads the machine itself says."""
        for screen in self._flow.screens:
            for key, edges in edges_by_key(screen):
                transitions = self._events[key].transitions[screen.name]
                for edge, transition in zip(edges, transitions, strict=True):
                    yield Way(screen.name, key, edge, str(transition.dest))

    def _fired(self, screen: str, key: str, sight: Sight) -> str | None:
        event = self._events.get(key)
        if event is None or screen not in event.transitions:
            return None
        cursor = _Cursor(screen)
        return cursor.state if event.trigger(cursor, sight) else None


def edges_by_key(screen: Screen) -> list[tuple[str, tuple[Edge, ...]]]:
    """What can happen on a screen, each with the edges that it may lead along, in the order they are tried."""
    ways = [(GO, screen.to)] if screen.to else []
    if screen.ask:
        ways += [(choice_key(number), choice.to or screen.to) for number, choice in enumerate(screen.ask.choices)]
        if screen.ask.zero:
            ways.append((ZERO, screen.ask.zero.to or screen.to))
        ways += [(other_key(number), other.way.to) for number, other in enumerate(screen.ask.others)]
    return ways


def _guards(edge: Edge, conditions: Mapping[str, _Guard]) -> list[_Guard]:
    guards = [conditions[edge.when]] if edge.when else []
    return [*guards, _is_known(edge.known)] if edge.known else guards


def _is_known(name: str) -> _Guard:
    return lambda sight: name in sight
