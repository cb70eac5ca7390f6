"""What keys and clicks do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from simulator.desk import author_views, message_views, phone_views
from simulator.desk.commands import Command, command_of
from simulator.desk.errands import Errands
from simulator.desk.news import numbered
from simulator.desk.slips import NothingOpenHere, NothingToEnd, NothingWritten
from simulator.desk.state import Asked, Pane
from simulator.desk.table import Table
from simulator.desk.typed import Typed
from simulator.errors import SimulatorError
from simulator.recording import keep, kept_as

_FILE = "recorded.txt"
_ROUND = "seed_test"
_LEAVING = ("ctrl+c", "ctrl+d", "ctrl+q")


class Hands:
    """The person at the desk.

    Args:
        table: where the desk lies.
        errands: what the phones can be asked to do.
        leave: ends the program.
    """

    def __init__(self, table: Table, errands: Errands, leave: Callable[[], None]) -> None:
        self._table = table
        self._errands = errands
        self._commands: dict[Command, Callable[[], None]] = {
            Command.DIAL: self._dial,
            Command.HANG_UP: self._hang_up,
            Command.SMS: lambda: self._want(Asked.SMS),
            Command.MESSAGES: self._to_messages,
            Command.CLOCK: lambda: self._want(Asked.CLOCK, "+1d"),
            Command.ROUND: lambda: self._want(Asked.ROUND, _ROUND),
            Command.NUMBER: lambda: self._want(Asked.NUMBER, numbered(table.desk.phones)),
            Command.LANGUAGE: lambda: self._want(Asked.LANGUAGE, table.desk.held.language),
            Command.AUTHOR: self._author,
            Command.RECORD: self._want_file,
            Command.QUIT: leave,
        }
        self._enters: dict[Asked, Callable[[str], None]] = {
            Asked.ANSWER: self._answer,
            Asked.SMS: self._sms,
            Asked.CLOCK: lambda said: errands.move_clock(said.strip()),
            Asked.ROUND: lambda name: errands.begin_round(name.strip()),
            Asked.NUMBER: lambda number: self._number(number.strip()),
            Asked.LANGUAGE: lambda code: self._language(code.strip()),
            Asked.FILE: lambda name: self._file(name.strip()),
        }

    def key(self, name: str, char: str | None) -> None:
        """A key was pressed: its name as the terminal library says it, and the character it writes, if any."""
        try:
            self._key(name, char)
        except SimulatorError as fault:
            self._table.say(str(fault))

    def paste(self, text: str) -> None:
        """A text was pasted."""
        self._type(self._table.desk.typed.writing(text.rstrip("\n")))

    def press(self, pane: str, x: int, y: int, wide: int, high: int) -> None:
        """A cell of a pane was clicked; the pane has so many columns and rows."""
        try:
            self._press(pane, x, y, wide, high)
        except SimulatorError as fault:
            self._table.say(str(fault))

    def _key(self, name: str, char: str | None) -> None:
        desk = self._table.desk
        if name == "escape":
            freed = desk.asked_enough()
            self._table.lay(freed if freed is not desk else replace(desk, is_armed=not desk.is_armed))
        elif name.startswith("alt+"):
            self._command(name.removeprefix("alt+"))
        elif desk.is_armed:
            if char is not None:  # some terminals report a shift key by itself; the letter comes after it
                self._command(char)
        elif name in _LEAVING:
            self._table.say("Esc, then q leaves")
        elif name in ("enter", "ctrl+j"):
            self._enter()
        elif name == "tab":
            self._table.lay(desk.next_pane())
        elif name in _SCROLLING:
            self._scroll(_SCROLLING[name])
        elif name in _PAGING:
            self._page(_PAGING[name])
        elif name in _EDITING:
            self._type(_EDITING[name](desk.typed))
        elif char is not None and char.isprintable():
            self._type(desk.typed.writing(char))

    def _press(self, pane: str, x: int, y: int, wide: int, high: int) -> None:
        desk = self._table.desk
        if pane == "phones" and (place := phone_views.phone_at(desk, x, wide)) is not None:
            self._take(place)
        elif pane == "keypad" and (label := phone_views.key_at(x, y)) is not None:
            self._press_key(label)
        elif pane == "messages":
            self._press_message(message_views.letter_at(desk, y, high))

    def _press_key(self, label: str) -> None:
        if label in _WORDS:
            _WORDS[label](self)
        else:
            self._type(self._table.desk.typed.writing(label))

    def _press_message(self, place: int | None) -> None:
        desk = self._table.desk
        held = desk.held
        if not held.is_opened and place is None:
            return
        held = held if held.is_opened or place is None else replace(held, chosen=place)
        self._table.lay(replace(desk.holding(held.opening()), front=Pane.MESSAGES, notices=()))

    def _type(self, typed: Typed) -> None:
        self._table.lay(replace(self._table.desk, typed=typed, front=Pane.PHONE))

    def _erase(self) -> None:
        self._type(self._table.desk.typed.erasing())

    def _enter(self) -> None:
        desk = self._table.desk
        if desk.front is Pane.MESSAGES:
            self._table.lay(replace(desk.holding(desk.held.opening()), notices=()))
        elif desk.front is Pane.AUTHOR:
            self._table.lay(replace(desk, front=Pane.PHONE))
        else:
            self._enters[desk.asked](desk.typed.text)

    def _scroll(self, steps: int) -> None:
        desk, held = self._table.desk, self._table.desk.held
        if desk.front is Pane.AUTHOR:
            self._table.lay(author_views.scrolled(desk, steps))
        elif desk.front is Pane.PHONE:
            self._table.lay(desk.holding(replace(held, top=phone_views.scrolled(held, steps))))
        elif held.is_opened:
            self._table.lay(desk.holding(replace(held, letter_top=max(0, held.letter_top + steps))))
        else:
            self._table.lay(desk.holding(held.choosing(steps)))

    def _page(self, steps: int) -> None:
        """Many rows at once, of the pane for authors where the phone itself has nothing to scroll."""
        desk = self._table.desk
        if desk.front is Pane.PHONE and desk.has_author and phone_views.is_shown_whole(desk.held):
            self._table.lay(author_views.scrolled(desk, steps))
        else:
            self._scroll(steps)

    def _command(self, key: str) -> None:
        self._table.lay(replace(self._table.desk, is_armed=False))
        command = command_of(key)
        if key.isdecimal() and key != "0":
            self._take(int(key) - 1)
        elif command is None:
            self._table.say(f"Esc, then {key} does nothing: the letters are shown below")
        else:
            self._commands[command]()

    def _want(self, what: Asked, typed: str = "") -> None:
        self._table.lay(self._table.desk.asking(what, typed))

    def _want_file(self) -> None:
        self._errands.script()
        self._want(Asked.FILE, _FILE)

    def _to_messages(self) -> None:
        desk = self._table.desk
        is_there = desk.front is Pane.MESSAGES
        self._table.lay(replace(desk, front=Pane.PHONE if is_there else Pane.MESSAGES))

    def _author(self) -> None:
        desk = self._table.desk
        front = Pane.PHONE if desk.has_author else Pane.AUTHOR
        self._table.lay(replace(desk, has_author=not desk.has_author, front=front, author_top=0))

    def _take(self, place: int) -> None:
        if place >= len(self._table.desk.phones):
            self._table.say(f"there is no phone {place + 1}: Esc, then n adds one")
        else:
            self._table.lay(self._table.desk.taking(place))
            self._errands.look()

    def _dial(self) -> None:
        desk = self._table.desk
        self._errands.dial("" if desk.held.phone.open or desk.asked is not Asked.ANSWER else desk.typed.text)

    def _hang_up(self) -> None:
        if not self._table.desk.held.phone.open:
            raise NothingToEnd
        self._errands.hang_up()

    def _answer(self, text: str) -> None:
        self._errands.ready()
        if self._table.desk.held.phone.open:
            self._errands.answer(text)
        elif text.strip():
            raise NothingOpenHere
        else:
            self._errands.dial()

    def _sms(self, text: str) -> None:
        if not text.strip():
            raise NothingWritten
        self._errands.send_sms(text)

    def _number(self, number: str) -> None:
        self._errands.add(number)
        places = [held.phone.number for held in self._table.desk.phones]
        self._take(places.index(number))
        self._table.lay(self._table.desk.asked_enough())

    def _language(self, code: str) -> None:
        self._errands.set_language(code)
        said = (
            f"The phone is set to {code}; the network passes that on, the service may ask all the same."
            if code
            else "No language is set."
        )
        self._table.lay(self._table.desk.asked_enough().saying(said))

    def _file(self, name: str) -> None:
        keep(self._errands.script(), name)
        self._table.lay(self._table.desk.asked_enough().saying(kept_as(name)))


_WORDS: dict[str, Callable[[Hands], None]] = {
    phone_views.CALL: Hands._dial,
    phone_views.END: Hands._hang_up,
    phone_views.ERASE: Hands._erase,
    phone_views.SEND: Hands._enter,
}
_EDITING: dict[str, Callable[[Typed], Typed]] = {
    "backspace": Typed.erasing,
    "ctrl+h": Typed.erasing,
    "delete": Typed.deleting,
    "left": Typed.left,
    "right": Typed.right,
    "home": Typed.first,
    "end": Typed.last,
    "ctrl+u": lambda _: Typed(),
}
_SCROLLING = {"up": -1, "down": 1}
_PAGING = {"pageup": -8, "pagedown": 8}
