"""How the phone in hand looks: all phones, state, screen, typed line and keypad, as rows."""

from __future__ import annotations

from simulator.counting import in_a_message, on_a_page, size
from simulator.desk.cells import Mark, Row, Span, broken, filled, row, width
from simulator.desk.state import Asked, Desk, Held, Pane
from simulator.wire import USSD_CODE

#: The screen of the phone, in letters.
COLUMNS, ROWS = 24, 10
#: The phone with the edges of its screen.
WIDE, HIGH = COLUMNS + 2, ROWS + 2

CALL, END, ERASE, SEND = "call", "end", "erase", "send"
_KEYPAD = (("1", "2", "3", CALL), ("4", "5", "6", END), ("7", "8", "9", ERASE), ("*", "0", "#", SEND))
_KEY_COLUMNS, _WORD_COLUMNS = 5, 8
_END = 4

_FOR = {
    Asked.SMS: "SMS",
    Asked.CLOCK: "clock: +1h +1d +1w or time",
    Asked.ROUND: "round for these phones",
    Asked.NUMBER: "number of a new phone",
    Asked.LANGUAGE: "language code, or none",
    Asked.FILE: "name of a new file",
}


def phones(desk: Desk, wide: int) -> Row:
    """All phones, each with its place and how many of its messages are unread.

    Where they have no room in so many columns, those not in hand show the end of their number.
    """
    return row(*(part for tab in _tabs(desk, wide) for part in tab))


def phone_at(desk: Desk, x: int, wide: int) -> int | None:
    """The place of the phone that stands in a column of the row of phones."""
    end = 0
    for place, tab in enumerate(_tabs(desk, wide)):
        end += width(tab)
        if x < end:
            return place
    return None


def _tabs(desk: Desk, wide: int) -> list[Row]:
    whole = [_tab(desk, place, is_whole=True) for place in range(len(desk.phones))]
    if sum(map(width, whole)) <= wide:
        return whole
    return [_tab(desk, place, is_whole=place == desk.in_hand) for place in range(len(desk.phones))]


def _tab(desk: Desk, place: int, *, is_whole: bool) -> Row:
    held = desk.phones[place]
    number = held.phone.number if is_whole else f"..{held.phone.number[-_END:]}"
    unread = f" ({held.unread} new)" if held.unread else ""
    mark = Mark.REVERSED if place == desk.in_hand else Mark.PLAIN
    return row(Span(f" {place + 1} {number}{unread} ", mark))


def state(desk: Desk) -> Row:
    """Number, session or what is to be said of the service, languages and clock."""
    held = desk.held
    is_open = Span("session open" if held.phone.open else "no session")
    session = Span(desk.service, Mark.WARN) if desk.service else is_open
    languages = f"  {_languages(held)}" if _languages(held) else ""
    return row(f" {held.phone.number}  ", session, f"{languages}  {desk.now:%a %d %b %Y %H:%M %Z}")


def _languages(held: Held) -> str:
    is_set = f"set to {held.language}" if held.language else ""
    return ", ".join(part for part in (held.spoken, is_set) if part)


def screen(desk: Desk) -> tuple[Row, ...]:
    """The screen of the phone with its edges: what is above and below is said in the upper one."""
    held = desk.held
    rows = screen_rows(held)
    shown = [*rows[held.top : held.top + ROWS], *[""] * ROWS][:ROWS]
    return (
        _edge(_where(len(rows), held.top), ".", "."),
        *(row("|", *filled(row(text), COLUMNS), "|") for text in shown),
        _edge(_count(held), "'", "'"),
    )


def screen_rows(held: Held) -> tuple[str, ...]:
    """Everything that the phone shows, as rows of its screen."""
    return () if held.phone.screen is None else broken(held.phone.screen, COLUMNS)


def scrolled(held: Held, steps: int) -> int:
    """The first row that shows after scrolling so many rows down.

    >>> from simulator.phone import Phone
    >>> scrolled(Held(Phone("+99900500001", screen="short")), 3)
    0
    """
    return max(0, min(len(screen_rows(held)) - ROWS, held.top + steps))


def is_shown_whole(held: Held) -> bool:
    """Whether there is nothing to scroll on the phone.

    >>> from simulator.phone import Phone
    >>> is_shown_whole(Held(Phone("+99900500001", screen="short")))
    True
    """
    return len(screen_rows(held)) <= ROWS


def _where(rows: int, top: int) -> Span:
    if rows <= ROWS:
        return Span("")
    arrows = ("^" if top else "") + ("v" if top + ROWS < rows else "")
    return Span(f" {top + 1}-{min(rows, top + ROWS)} of {rows} {arrows} ", Mark.STRONG)


def _count(held: Held) -> Span:
    if held.phone.screen is None:
        return Span("")
    counted = size(held.phone.screen)
    return Span(f" {on_a_page(counted)} ", Mark.PLAIN if counted.fits_page else Mark.BAD)


def _edge(said: Span, left: str, right: str) -> Row:
    return row(f"{left}-", said, "-" * (COLUMNS - 1 - len(said.text)) + right)


def asked(desk: Desk) -> Row:
    """What the typed line is for, and how much room it takes."""
    text, held = desk.typed.text, desk.held
    if desk.asked is Asked.SMS:
        return _both("SMS", in_a_message(size(text)))
    if desk.asked is not Asked.ANSWER:
        return row(Span(_FOR[desk.asked], Mark.STRONG))
    if held.waits or desk.moves:
        return row(Span("waits for the service", Mark.WARN))
    if not desk.is_connected:
        return row(Span("not connected", Mark.WARN))
    if text:
        return _both("answer" if held.phone.open else "typed", on_a_page(size(text)))
    return row(Span("type your answer" if held.phone.open else f"Enter dials {USSD_CODE}", Mark.STRONG))


def _both(name: str, count: str) -> Row:
    room = WIDE - len(name) - len(count)
    return row(Span(name, Mark.STRONG), " " * room, count) if room > 0 else row(count)


def keypad() -> tuple[Row, ...]:
    """The keys, as they can be clicked."""
    return tuple(row(" ".join(_key(label) for label in labels)) for labels in _KEYPAD)


def key_at(x: int, y: int) -> str | None:
    """The key in a cell of the keypad, None between keys.

    >>> key_at(2, 0), key_at(5, 0), key_at(20, 1)
    ('1', None, 'end')
    """
    start = 0
    for label in _KEYPAD[y] if 0 <= y < len(_KEYPAD) else ():
        if start <= x < start + len(_key(label)):
            return label
        start += len(_key(label)) + 1
    return None


def _key(label: str) -> str:
    return f"[{label:^{(_WORD_COLUMNS if len(label) > 1 else _KEY_COLUMNS) - 2}}]"


def front(desk: Desk, pane: Pane, title: str) -> Row:
    """The title of a pane, reversed while the arrow keys go there."""
    return row(Span(f" {title} ", Mark.REVERSED if desk.front is pane else Mark.STRONG))
