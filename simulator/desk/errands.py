"""What the phones have to do with the service, and what comes of it."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from simulator.clock import later
from simulator.desk.line import Line
from simulator.desk.news import book_news
from simulator.desk.slips import NotConnected, NothingDone, StillWaiting
from simulator.desk.state import Asked, Held
from simulator.desk.table import Table
from simulator.desk.typed import Typed
from simulator.desk.watching import Watched
from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.handset import Handset
from simulator.phone import Phone
from simulator.recording import Recording
from simulator.scripts import Seen
from simulator.wire import Wire


@dataclass(frozen=True, slots=True)
class _Errand:
    """Something that a phone is asked to do: how a script writes it, and what was typed, should it fail."""

    handset: Handset
    act: str
    shows: bool
    said: str
    asked: Asked
    typed: Typed


class Errands:
    """Runs where the screen is kept; only the jobs that it gives to the line run elsewhere.

    Args:
        table: where the desk lies, with one phone on it.
        line: the way to the service.
        gateway: where text messages arrive.
        leave: ends the program because of a fault.
    """

    def __init__(
        self, table: Table, line: Line, gateway: Gateway, leave: Callable[[Exception | None], None]
    ) -> None:
        self._table = table
        self._line = line
        self._gateway = gateway
        self._leave = leave
        self._wire: Wire | None = None
        self._run = secrets.token_hex(4)
        self._handsets: dict[str, Handset] = {}
        self._seen: dict[str, int] = {}
        self._troubles = len(gateway.troubles)
        self._in_round = False
        held = table.desk.held
        self._recording = Recording(table.desk.now, held.phone.number, held.language)

    def begin(self) -> None:
        """Starts the service; the phone then dials by itself, since an empty screen explains nothing."""
        self._gateway.listen(lambda: self._line.tell(self.receive))
        self._line.connect(self._connected)

    def pass_time(self) -> None:
        """Shows what time it is; to be called now and then."""
        if self._wire is not None:
            self._table.lay(replace(self._table.desk, now=self._wire.clock.now()))

    def look(self) -> None:
        """Asks about the phone in hand now."""
        self._line.look()

    def dial(self, digits: str = "") -> None:
        """Dials; where a session is open this shows its screen again."""
        act = "redial" if self._table.desk.held.phone.open else "dial"
        self._ask(f"{act} {digits}".rstrip(), lambda handset: handset.dial(digits), shows=True)

    def answer(self, text: str) -> None:
        """Sends an answer."""
        self._ask(f"> {text}".rstrip(), lambda handset: handset.answer(text), shows=True)

    def hang_up(self) -> None:
        """Ends the open session."""
        self._ask("hang up", lambda handset: handset.hang_up(), said="Hung up.")

    def send_sms(self, text: str) -> None:
        """Sends a text message."""
        self._ask(f"sms> {text}", lambda handset: handset.send_sms(text), said="SMS sent.")

    def move_clock(self, said: str) -> None:
        """Moves the clock of phones and service, as scripts say it."""
        wire = self.ready()
        moment = later(wire.clock.now(), said)
        self._table.lay(replace(self._table.desk.asked_enough(), moves=True))
        move = partial(wire.set_clock, moment, passing=self._in_round)
        self._line.do(move, partial(self._clock_moved, wire, said))

    def begin_round(self, name: str) -> None:
        """Starts a round of messages for all phones; from then on the clock stops for each message on its way."""
        wire, desk = self.ready(), self._table.desk
        if desk.moves:
            raise StillWaiting
        numbers = [held.phone.number for held in desk.phones]
        self._table.lay(replace(desk.asked_enough(), moves=True))
        self._line.do(lambda: wire.try_round(name, numbers), partial(self._round_begun, name))

    def add(self, number: str) -> None:
        """Puts another phone on the desk, if it is not there yet. Raises NumberRefused."""
        wire, desk = self.ready(), self._table.desk
        held = Held(Phone(number), desk.held.language)
        if desk.found(number) is None:
            self._join(held, wire)
            self._table.lay(replace(desk, phones=(*desk.phones, held)))

    def set_language(self, code: str) -> None:
        """Sets the phone in hand to a language."""
        held = self._table.desk.held
        self.ready()
        self._handsets[held.phone.number].language = code
        self._table.lay(self._table.desk.holding(replace(held, language=code)))

    def script(self) -> str:
        """All that was done so far, as a script. Raises NothingDone."""
        if not self._recording.acts:
            raise NothingDone
        return self._recording.script()

    def ready(self) -> Wire:
        """The way to the service. Raises NotConnected."""
        if self._wire is None:
            raise NotConnected
        return self._wire

    def receive(self) -> None:
        """Takes in the messages that arrived, but of a phone that waits only once it has its answer.

        A message that answers an act may come before the act is known to be done; a recording has it below.
        """
        desk = self._table.desk
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
        self._table.lay(desk)

    def _join(self, held: Held, wire: Wire) -> None:
        number = held.phone.number
        self._handsets[number] = Handset(number, wire, self._gateway, self._run, held.language)
        self._seen[number] = len(self._gateway.inbox(number))

    def _connected(self, found: Wire | Exception) -> None:
        if not isinstance(found, Wire):
            self._leave(found)
            return
        self._wire = found
        desk, now = self._table.desk, found.clock.now()
        self._join(desk.held, found)
        self._recording = replace(self._recording, begun=now)
        self._table.lay(replace(desk, now=now, is_connected=True, service=""))
        self._line.watch(found, lambda: self._table.desk.held.phone.number, self._watched)
        self.dial()
        # Whoever typed ahead did not mean it to be dialled, nor to be lost.
        self._table.lay(replace(self._table.desk, asked=desk.asked, typed=desk.typed, kept=desk.kept))

    def _ask(self, act: str, use: Callable[[Handset], None], *, shows: bool = False, said: str = "") -> None:
        self.ready()
        desk = self._table.desk
        held, asked, typed = desk.held, desk.asked, desk.typed
        if held.waits or desk.moves:
            raise StillWaiting
        errand = _Errand(self._handsets[held.phone.number], act, shows, said, asked, typed)
        desk = replace(desk, typed=Typed()) if asked is Asked.ANSWER else desk.asked_enough()
        desk = replace(desk, notices=())  # what was said of what went before is of no use any more
        self._table.lay(desk.holding(replace(held, waits=True)))
        self._line.do(lambda: use(errand.handset), partial(self._asked, errand))

    def _asked(self, errand: _Errand, fault: SimulatorError | None) -> None:
        phone, desk = errand.handset.phone, self._table.desk
        held = desk.found(phone.number)
        if held is None:
            return
        desk = desk.holding(replace(held, phone=phone, waits=False, top=0 if errand.shows else held.top))
        if fault is None:
            seen = Seen(phone.screen if errand.shows else None, phone.open)
            self._recording = self._recording.acting(phone.number, errand.act, seen)
            desk = desk.saying(errand.said) if errand.said else desk
        else:
            desk = desk.saying(str(fault))
            is_idle = desk.held.phone.number == phone.number and desk.asked is Asked.ANSWER
            if is_idle and not desk.typed.text:
                desk = replace(desk, asked=errand.asked, typed=errand.typed)
        self._table.lay(desk)
        self.receive()

    def _clock_moved(self, wire: Wire, said: str, fault: SimulatorError | None) -> None:
        desk = replace(self._table.desk, moves=False)
        if fault is None:
            now = wire.clock.now()
            self._recording = self._recording.acting(desk.held.phone.number, f"clock {said}")
            desk = replace(desk, now=now).saying(f"It is now {now:%a %d %b %Y, %H:%M %Z}.")
        else:
            desk = desk.saying(str(fault))
        self._table.lay(desk)
        self.receive()

    def _round_begun(self, name: str, fault: SimulatorError | None) -> None:
        desk = replace(self._table.desk, moves=False)
        if fault is None:
            self._in_round = True
            self._recording = self._recording.acting(desk.held.phone.number, f"round {name}")
            desk = desk.saying(f"{name} has begun for all phones here: Esc, then c goes to its days.")
        else:
            desk = desk.saying(str(fault))
        self._table.lay(desk)
        self.receive()

    def _watched(self, watched: Watched) -> None:
        desk = self._table.desk
        news = list(book_news(desk.book, watched.book, has_author=desk.has_author))
        held = desk.found(watched.number)
        if held is not None:
            desk = desk.holding(replace(held, session=watched.session))
        service = "" if watched.is_there else "the service does not answer"
        desk = replace(desk, service=service, book=watched.book)
        for said in news:
            # What is new stands at the top of the pane for authors.
            desk = replace(desk.saying(said), author_top=0)
        self._table.lay(desk)
