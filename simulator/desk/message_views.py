"""The text messages of the phone in hand: a list, or one of them opened."""

from __future__ import annotations

from simulator.counting import in_a_message, size
from simulator.desk.cells import Mark, Row, Span, row
from simulator.desk.phone_views import front
from simulator.desk.state import Desk, Letter, Pane
from simulator.screen import wrapped

_HEAD = 2


def messages(desk: Desk, wide: int, high: int) -> tuple[Row, ...]:
    """The pane of messages, so many columns wide and rows high."""
    held = desk.held
    if held.is_opened and held.letters:
        return _opened(desk, held.letters[held.chosen], wide, high)
    unread = f", {held.unread} new" if held.unread else ""
    title = f"Messages: {len(held.letters)}{unread}" if held.letters else "No messages"
    first = _first(desk, high)
    listed = [
        _line(letter, desk.front is Pane.MESSAGES and first + place == held.chosen)
        for place, letter in enumerate(held.letters[first : first + _room(high)])
    ]
    hint = "Up, Down choose; Enter opens; Tab leaves" if desk.front is Pane.MESSAGES else ""
    return (front(desk, Pane.MESSAGES, title), row(hint), *listed)


def letter_at(desk: Desk, y: int, high: int) -> int | None:
    """The place of the message in a row of the list, None where there is none."""
    place = _first(desk, high) + y - _HEAD
    return place if y >= _HEAD and place < len(desk.held.letters) else None


def rows_opened(desk: Desk, wide: int) -> int:
    """Rows that the opened message takes."""
    held = desk.held
    return len(_rows(held.letters[held.chosen], wide)) if held.is_opened else 0


def _rows(letter: Letter, wide: int) -> tuple[str, ...]:
    """Its text, broken at blanks: what was sent to a phone of another width is read here, not measured."""
    return wrapped(letter.sms.text, max(2, wide))


def _room(high: int) -> int:
    return max(1, high - _HEAD)


def _first(desk: Desk, high: int) -> int:
    return max(0, desk.held.chosen - _room(high) + 1)


def _line(letter: Letter, is_chosen: bool) -> Row:
    text = f"{' ' if letter.is_read else '*'} {letter.sms.sender:<6} {letter.came:%d %b %H:%M}  "
    mark = Mark.REVERSED if is_chosen else Mark.PLAIN if letter.is_read else Mark.STRONG
    return row(Span(text + letter.sms.text.split("\n")[0], mark))


def _opened(desk: Desk, letter: Letter, wide: int, high: int) -> tuple[Row, ...]:
    head = (
        front(desk, Pane.MESSAGES, f"From {letter.sms.sender}, {letter.came:%a %d %b %Y %H:%M}"),
        row(f"{in_a_message(size(letter.sms.text))}; Enter closes"),
    )
    rows = _rows(letter, wide)
    top = max(0, min(desk.held.letter_top, len(rows) - _room(high)))
    return (*head, *(row(text) for text in rows[top : top + _room(high)]))
