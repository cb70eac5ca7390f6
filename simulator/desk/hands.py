"""What keys and clicks do: the phones are used, and the desk shows how they are."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from simulator.clock import later
from simulator.desk import message_views, phone_views
from simulator.desk.commands import Command, command_of
from simulator.desk.line import Line
from simulator.desk.news import book_news, numbered
from simulator.desk.slips import (
    NotConnected,
    NothingDone,
    NothingOpenHere,
    NothingToEnd,
    NothingWritten,
    StillWaiting,
)
from simulator.desk.state import Asked, Desk, Held, Pane
from simulator.desk.typed import Typed
from simulator.desk.watching import Watched
from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.handset import Handset
from simulator.recording import Recording, keep
from simulator.scripts import Seen
from simulator.wire import Wire

_FILE = "recorded.txt"
_NOT_THERE = "the service does not answer"


class Hands:
    """The person at the desk. All of it runs where the screen is kept; only jobs of the line run elsewhere.

    Args:
        desk: how it is at the start, with one phone.
        line: the way to the service.
        gateway: where text messages arrive.
        show: shows the desk once it has changed.
        leave: ends the program, because of a fault or because of nothing.
    """

    def __init__(
        self,
        desk: Desk,
        line: Line,
        gateway: Gateway,
        show: Callable[[Desk], None],
        leave: Callable[[Exception | None], None],
    ) -> None:
        self.desk = desk
        self._line = line
        self._gateway = gateway
        self._show = show
        self._leave = leave
        self._wire: Wire | None = None
        self._run = secrets.token_hex(4)
        self._handsets: dict[str, Handset] = {}
        self._seen: dict[str, int] = {}
        self._troubles = len(gateway.troubles)
        self._recording = Recording(desk.now, desk.held.phone.number, desk.held.language)
        self._commands: dict[Command, Callable[[], None]] = {
            Command.DIAL: self._dial,
            Command.HANG_UP: self._hang_up,
            Command.SMS: lambda: self._set(self.desk.asking(Asked.SMS)),
            Command.MESSAGES: self._to_messages,
            Command.CLOCK: lambda: self._set(self.desk.asking(Asked.CLOCK, "+1d")),
            Command.NUMBER: lambda: self._set(self.desk.asking(Asked.NUMBER, numbered(self.desk.phones))),
            Command.LANGUAGE: lambda: self._set(self.desk.asking(Asked.LANGUAGE, self.desk.held.language)),
            Command.AUTHOR: self._author,
            Command.RECORD: self._ask_file,
            Command.QUIT: lambda: self._leave(None),
        }
        self._enters: dict[Asked, Callable[[str], None]] = {
            Asked.ANSWER: self._answer,
            Asked.SMS: self._sms,
            Asked.CLOCK: self._clock,
            Asked.NUMBER: self._number,
            Asked.LANGUAGE: self._language,
            Asked.FILE: self._file,
        }

    def begin(self) -> None:
        """Starts the service; the first phone then dials by itself, since an empty screen explains nothing."""
        self._gateway.listen(lambda: self._line.tell(self.receive))
        self._line.connect(self._connected)

    def pass_time(self) -> None:
        """Shows what time it is; to be called now and then."""
        if self._wire is not None:
            self._set(replace(self.desk, now=self._wire.clock.now()))

    # keys and clicks

    def key(self, name: str, char: str | None) -> None:
        """A key was pressed: its name as the terminal library says it, and the character it writes, if any."""
        try:
            self._key(name, char)
        except SimulatorError as fault:
            self._set(self.desk.saying(str(fault)))

    def _key(self, name: str, char: str | None) -> None:
        desk = self.desk
        if name == "escape":
            freed = desk.asked_enough()
            self._set(freed if freed is not desk else replace(desk, is_armed=not desk.is_armed))
        elif name.startswith("alt+"):
            self._command(name.removeprefix("alt+"))
        elif desk.is_armed:
            self._set(replace(desk, is_armed=False))
            self._command(char or name)
        elif name in ("enter", "ctrl+j"):
            self._enter()
        elif name == "tab":
            self._set(desk.next_pane())
        elif name in ("ctrl+c", "ctrl+d", "ctrl+q"):
            self._set(desk.saying("Esc, then q leaves"))
        elif name in _SCROLLING:
            self._scroll(_SCROLLING[name])
        elif name in _EDITING:
            self._type(_EDITING[name](desk.typed))
        elif char is not None and char.isprintable():
            self._type(desk.typed.writing(char))

    def paste(self, text: str) -> None:
        """A text was pasted."""
        self._type(self.desk.typed.writing(text.rstrip("\n")))

    def press(self, pane: str, x: int, y: int, high: int) -> None:
        """A cell of a pane was clicked; ``high`` is how many rows the pane has."""
        desk = self.desk
        if pane == "phones" and (place := phone_views.phone_at(desk, x)) is not None:
            self._take(place)
        elif pane == "keypad" and (label := phone_views.key_at(x, y)) is not None:
            keys = {phone_views.SEND: "enter", phone_views.ERASE: "backspace"}
            if label in (phone_views.CALL, phone_views.END):
                self._command(str(Command.DIAL if label == phone_views.CALL else Command.HANG_UP))
            else:
                self.key(keys.get(label, label), label if len(label) == 1 else None)
        elif pane == "messages":
            self._press_message(message_views.letter_at(desk, y, high))

    def _press_message(self, place: int | None) -> None:
        held = self.desk.held
        if not held.is_opened and place is not None:
            held = replace(held, chosen=place)
        self._set(replace(self.desk.holding(held.opening()), front=Pane.MESSAGES))

    def _type(self, typed: Typed) -> None:
        self._set(replace(self.desk, typed=typed, front=Pane.PHONE))

    def _enter(self) -> None:
        if self.desk.front is Pane.MESSAGES:
            self._set(self.desk.holding(self.desk.held.opening()))
        else:
            self._enters[self.desk.asked](self.desk.typed.text)

    def _scroll(self, steps: int) -> None:
        desk, held = self.desk, self.desk.held
        if desk.front is Pane.AUTHOR:
            self._set(replace(desk, author_top=max(0, desk.author_top + steps)))
        elif desk.front is Pane.PHONE:
            self._set(desk.holding(replace(held, top=phone_views.scrolled(held, steps))))
        elif held.is_opened:
            self._set(desk.holding(replace(held, letter_top=max(0, held.letter_top + steps))))
        else:
            self._set(desk.holding(held.choosing(steps)))

    # commands

    def _command(self, key: str) -> None:
        command = command_of(key)
        if key.isdecimal() and key != "0":
            self._take(int(key) - 1)
        elif command is None:
            self._set(self.desk.saying(f"Esc, then {key} does nothing: the letters are shown below"))
        else:
            self._commands[command]()

    def _to_messages(self) -> None:
        is_there = self.desk.front is Pane.MESSAGES
        self._set(replace(self.desk, front=Pane.PHONE if is_there else Pane.MESSAGES))

    def _author(self) -> None:
        shows = not self.desk.has_author
        front = Pane.AUTHOR if shows else Pane.PHONE
        self._set(replace(self.desk, has_author=shows, front=front, author_top=0))

    def _take(self, place: int) -> None:
        if not 0 <= place < len(self.desk.phones):
            self._set(self.desk.saying(f"there is no phone {place + 1}: Esc, then n adds one"))
            return
        self._set(self.desk.taking(place))
        self._line.look()

    def _dial(self) -> None:
        digits = self.desk.typed.text if not self.desk.held.phone.open else ""
        act = "redial" if self.desk.held.phone.open else "dial"
        self._ask(f"{act} {digits}".rstrip(), lambda handset: handset.dial(digits), shows=True)

    def _hang_up(self) -> None:
        if not self.desk.held.phone.open:
            raise NothingToEnd
        self._ask("hang up", lambda handset: handset.hang_up(), said="Hung up.")

    # what was typed

    def _answer(self, text: str) -> None:
        self._ready()
        if self.desk.held.phone.open:
            self._ask(f"> {text}".rstrip(), lambda handset: handset.answer(text), shows=True)
        elif text.strip():
            raise NothingOpenHere
        else:
            self._dial()

    def _sms(self, text: str) -> None:
        if not text.strip():
            raise NothingWritten
        self._ask(f"sms> {text}", lambda handset: handset.send_sms(text), said="SMS sent.")

    def _clock(self, said: str) -> None:
        wire = self._ready()
        moment = later(wire.clock.now(), said.strip())
        self._set(replace(self.desk.asked_enough(), moves=True))
        self._line.do(lambda: wire.set_clock(moment), partial(self._clock_moved, said.strip()))

    def _clock_moved(self, said: str, fault: SimulatorError | None) -> None:
        desk = replace(self.desk, moves=False)
        if fault is None and self._wire is not None:
            self._recording = self._recording.acting(desk.held.phone.number, f"clock {said}")
            now = self._wire.clock.now()
            desk = replace(desk, now=now).saying(f"It is now {now:%a %d %b %Y, %H:%M %Z}.")
        self._set(desk if fault is None else desk.saying(str(fault)))
        self.receive()

    def _number(self, number: str) -> None:
        wire = self._ready()
        handset = Handset(number.strip(), wire, self._gateway, self._run, self.desk.held.language)
        number = handset.phone.number
        if number not in self._handsets:
            self._handsets[number] = handset
            self._seen[number] = len(self._gateway.inbox(number))
            held = Held(handset.phone, self.desk.held.language)
            self._set(replace(self.desk, phones=(*self.desk.phones, held)))
        places = [held.phone.number for held in self.desk.phones]
        self._take(places.index(number))
        self._set(self.desk.asked_enough())

    def _language(self, said: str) -> None:
        code = said.strip()
        held = self.desk.held
        handset = self._handsets.get(held.phone.number)
        if handset is not None:
            handset.language = code
        said = f"The phone is set to {code}; the network passes that on." if code else "No language is set."
        self._set(self.desk.asked_enough().holding(replace(held, language=code)).saying(said))

    def _ask_file(self) -> None:
        if not self._recording.acts:
            raise NothingDone
        self._set(self.desk.asking(Asked.FILE, _FILE))

    def _file(self, name: str) -> None:
        keep(self._recording.script(), name.strip())
        said = f"Written: {name.strip()}. Play it with: python -m simulator play {name.strip()}"
        self._set(self.desk.asked_enough().saying(said))

    # the service

    def _ready(self) -> Wire:
        if self._wire is None:
            raise NotConnected
        return self._wire

    def _ask(self, act: str, use: Callable[[Handset], None], *, shows: bool = False, said: str = "") -> None:
        self._ready()
        held = self.desk.held
        if held.waits or self.desk.moves:
            raise StillWaiting
        handset = self._handsets[held.phone.number]
        is_answer = self.desk.asked is Asked.ANSWER
        desk = replace(self.desk, typed=Typed()) if is_answer else self.desk.asked_enough()
        desk = replace(desk, notices=())  # what was said of what went before is of no use any more
        self._set(desk.holding(replace(held, waits=True)))
        self._line.do(lambda: use(handset), partial(self._asked, handset, act, shows, said))

    def _asked(self, handset: Handset, act: str, shows: bool, said: str, fault: SimulatorError | None) -> None:
        phone = handset.phone
        held = self.desk.found(phone.number)
        if held is None:
            return
        top = 0 if shows and fault is None else held.top
        desk = self.desk.holding(replace(held, phone=phone, waits=False, top=top))
        if fault is None:
            self._recording = self._recording.acting(
                phone.number, act, Seen(phone.screen if shows else None, phone.open)
            )
            self._set(desk.saying(said) if said else desk)
        else:
            self._set(desk.saying(str(fault)))
        self.receive()

    def receive(self) -> None:
        """Takes in the messages that arrived. Those of a phone that waits come after what it waits for, as they
        were sent after it; so a recording has them below the act that they answer."""
        desk = self.desk
        for held in () if desk.moves else desk.phones:
            number = held.phone.number
            arrived = self._gateway.inbox(number)[self._seen.get(number, 0) :] if not held.waits else ()
            for sms in arrived:
                self._recording = self._recording.receiving(number, sms.text)
                held = held.receiving(sms, desk.now)
                desk = desk.holding(held).saying(f"SMS for {number}: Esc, then i reads it")
            self._seen[number] = self._seen.get(number, 0) + len(arrived)
        troubles = self._gateway.troubles[self._troubles :]
        self._troubles += len(troubles)
        for trouble in troubles:
            desk = desk.saying(trouble)
        self._set(desk)

    def _connected(self, found: Wire | Exception) -> None:
        if not isinstance(found, Wire):
            self._leave(found)
            return
        self._wire = found
        held = self.desk.held
        self._handsets[held.phone.number] = Handset(
            held.phone.number, found, self._gateway, self._run, held.language
        )
        self._seen[held.phone.number] = len(self._gateway.inbox(held.phone.number))
        now = found.clock.now()
        self._recording = replace(self._recording, begun=now)
        self._set(replace(self.desk, now=now, is_connected=True, service=""))
        self._line.watch(found, lambda: self.desk.held.phone.number, self._watched)
        self._dial()

    def _watched(self, watched: Watched) -> None:
        desk = self.desk
        held = desk.found(watched.number)
        if held is not None:
            desk = desk.holding(replace(held, session=watched.session))
        desk = replace(desk, service="" if watched.is_there else _NOT_THERE, book=watched.book)
        for news in book_news(self.desk.book, watched.book):
            desk = desk.saying(news)
        self._set(desk)

    def _set(self, desk: Desk) -> None:
        if desk is not self.desk:
            self.desk = desk
            self._show(desk)


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
_SCROLLING = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8}
