"""What was said last, and which keys do what."""

from __future__ import annotations

from simulator.desk.cells import Mark, Row, Span, broken, row
from simulator.desk.commands import ASKING, LEGEND
from simulator.desk.state import Asked, Desk
from simulator.screen import wrapped


def notices(desk: Desk, wide: int, high: int) -> tuple[Row, ...]:
    """The last notices that fit, the newest below in a mark of its own."""
    said: list[Row] = []
    for age, notice in enumerate(reversed(desk.notices)):
        mark = Mark.PLAIN if age else Mark.STRONG
        rows = [row(Span(text, mark)) for text in wrapped(notice, wide)]
        if age and len(rows) + len(said) > high:
            break  # half of an older one would say nothing
        said = [*rows, *said]
    # The beginning of the newest says what happened, so of a long one the end goes.
    return tuple(said[:high])


def legend(desk: Desk, wide: int) -> tuple[Row, ...]:
    """The keys that do something now."""
    lines = LEGEND if desk.is_armed or desk.asked is Asked.ANSWER else ASKING
    mark = Mark.REVERSED if desk.is_armed else Mark.PLAIN
    return tuple(row(Span(text, mark)) for line in lines for text in broken(line, wide))
