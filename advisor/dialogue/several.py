"""A question which of the grower's own plots or lots is meant: the entries of its list, and how each is said."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from advisor.agronomy.labels import Label
from advisor.dialogue.flows import Ask, AskKind, Line, Screen
from advisor.dialogue.registry import Condition, Registry
from advisor.records.aside import MOST, MOST_BAG
from advisor.wording.errors import BadPlaceholder
from advisor.wording.kinds import Kind, Whole
from advisor.wording.segments import cost
from advisor.wording.templates import placeholders
from advisor.wording.voice import Voice

#: What a line calls the number of the entry.
NUMBER = "number"

Entries = tuple[tuple[str, Label], ...]


def fact_named(ask: Ask, name: str) -> str:
    """The fact that a line means by a name: ``area`` of a plot is ``plot.area``."""
    return f"{ask.source}.{name}"


def own_entries(
    context: str,
    ask: Ask,
    voice: Voice,
    registry: Registry,
    kinds: Mapping[tuple[str, str], Kind],
    every: Sequence[tuple[int, int, Mapping[str, object]]],
) -> Entries:
    """The entries of the list, each with its place in the record as its key.

    Args:
        context: ``flow.screen``, under which the catalogs hold its texts.
        ask: the question.
        voice: the language.
        registry: the conditions.
        kinds: kind of each fact, under an empty flow.
        every: place, number and facts of each of them.
    """
    found = []
    for place, number, facts in every:
        line = next(line for line in ask.lines if _holds(line, registry.condition(line.when), facts))

        def words(name: str, number: int = number, facts: Mapping[str, object] = facts) -> str:
            if name == NUMBER:
                return number_kind(ask).words(number, voice)
            fact = fact_named(ask, name)
            return kinds["", fact].words(facts[fact], voice)

        found.append((str(place), _label(context, line, voice, words)))
    return tuple(found)


def widest_entries(context: str, ask: Ask, voice: Voice, count: int, widest: Callable[[str], str]) -> Entries:
    """The widest entries that so many of them can have.

    Args:
        context: ``flow.screen``.
        ask: the question.
        voice: the language.
        count: how many there are.
        widest: from a fact to its widest words.
    """
    found = []
    for number in range(1, count + 1):

        def words(name: str, number: int = number) -> str:
            # every number has one digit
            return number_kind(ask).words(number, voice) if name == NUMBER else widest(fact_named(ask, name))

        said = [_label(context, line, voice, words) for line in ask.lines]
        wide = max(said, key=lambda label: cost(voice.out(label.default), voice.alphabet))
        found.append((str(number - 1), wide))
    return tuple(found)


def number_kind(ask: Ask) -> Whole:
    """The kind of the number of an entry."""
    return Whole(1, MOST_BAG if ask.source == "lot" else MOST[ask.source])


def most_of_own(screen: Screen) -> int:
    """How many of the grower's own a screen can list, 0 where it lists none."""
    ask = screen.ask
    return MOST.get(ask.source, 0) if ask is not None and ask.kind is AskKind.WHICH else 0


def names_of(line: Line) -> frozenset[str]:
    """The values that a line names, none where it cannot be read."""
    try:
        return placeholders(line.say)
    except BadPlaceholder:
        return frozenset()


def switched_scopes(screen: Screen) -> Iterator[str]:
    """The scopes that a screen, or an answer to it, takes another one up of, whatever is chosen."""
    if screen.takes:
        yield screen.takes
    if screen.ask is not None and screen.ask.kind is AskKind.WHICH:
        yield screen.ask.source


def is_lost_with(scope: str, name: str) -> bool:
    """Whether a name stands for nothing any more once another one of a scope is in hand.

    >>> is_lost_with("plot", "plot.area"), is_lost_with("plot", "money"), is_lost_with("plot", "lot.test")
    (True, True, False)
    """
    return "." not in name or name.startswith(f"{scope}.")


def _holds(line: Line, condition: Condition | None, facts: Mapping[str, object]) -> bool:
    if line.known and line.known not in facts:
        return False
    return condition is None or (all(need in facts for need in condition.needs) and condition.holds(facts))


def _label(context: str, line: Line, voice: Voice, words: Callable[[str], str]) -> Label:
    return Label(voice.say_with(context, line.say, words))
