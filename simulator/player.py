"""Plays a scripted conversation against a service, compares what shows, and counts what it cost."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from difflib import SequenceMatcher
from http import HTTPStatus

from simulator.clock import later
from simulator.counting import PAGE, size
from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.handset import Handset
from simulator.phone import Sms
from simulator.scripts import Act, Line, Script, Seen, Turn
from simulator.wire import ServiceRefused, ServiceUnreachable, Wire


@dataclass(frozen=True, slots=True)
class Difference:
    """Something that is not as the script says.

    Args:
        line: line number in the script.
        what: one line that says what is different.
        rows: expected and seen lines side by side, empty where there is nothing to compare.
    """

    line: int
    what: str
    rows: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Cost:
    """What a conversation cost its people: screens shown, keys pressed, messages received."""

    screens: int
    keys: int
    sms: int

    def __str__(self) -> str:
        return f"{self.screens} screens, {self.keys} keys, {self.sms} SMS"


@dataclass(frozen=True, slots=True)
class Played:
    """A script after it was played.

    Args:
        script: the script.
        seen: what was seen after each turn; shorter than the turns when it could not go on.
        cost: what it cost.
        differences: empty when all was as written.
    """

    script: Script
    seen: tuple[Seen, ...]
    cost: Cost
    differences: tuple[Difference, ...]


def play(
    script: Script, wire: Wire, gateway: Gateway, *, patience_s: float = 10.0, settle_s: float = 0.3
) -> Played:
    """Plays a script and compares.

    Args:
        script: the conversation.
        wire: the way to the service.
        gateway: where the service's messages arrive.
        patience_s: how long to wait for a message that the script expects.
        settle_s: how long to wait at the end for one that it does not expect.
    """
    stage = _Stage(script, wire, gateway)
    differences: list[Difference] = []
    for turn in script.turns:
        found = stage.goes_wrong(turn)
        if found is None:
            stage.take(len(turn.messages), patience_s, most=len(turn.messages))
            differences += compared(turn, stage.seen[-1])
        else:
            differences.append(found)
        if found is not None or stage.lost(turn):
            break
    else:
        differences += stage.unexpected(settle_s)
    return stage.result(differences)


def record(script: Script, wire: Wire, gateway: Gateway, *, settle_s: float = 1.0) -> Played:
    """Plays a script and keeps what is seen instead of comparing.

    Args:
        settle_s: how long to wait after each turn for messages; too short a time misses some.
    """
    stage = _Stage(script, wire, gateway)
    differences: list[Difference] = []
    for turn in script.turns:
        found = stage.goes_wrong(turn)
        if found is not None:
            differences.append(found)
            break
        while stage.take(1, settle_s):
            pass
        differences += _fits(turn, stage.seen[-1])
    return stage.result(differences)


class _Stage:
    """The phones of one script while it is played."""

    def __init__(self, script: Script, wire: Wire, gateway: Gateway) -> None:
        self._script = script
        self._wire = wire
        self._gateway = gateway
        # Drawn anew for each script, so that no id was ever used before, whatever the service remembers.
        run = secrets.token_hex(4)
        self._handsets = {
            name: Handset(number, wire, gateway, run, script.language) for name, number in script.phones
        }
        self._in_hand = self._handsets[script.phones[0][0]]
        self._troubles_before = len(gateway.troubles)
        self._clock: datetime | None = None
        self._in_round = False
        self.seen: list[Seen] = []

    def goes_wrong(self, turn: Turn) -> Difference | None:
        """Does a turn; says why it cannot be done."""
        try:
            if self._clock is None:
                self._begin_with_clock()
            self._act(turn)
        except ServiceUnreachable:
            raise
        except SimulatorError as fault:
            return Difference(turn.line, f"'{turn.written}' cannot be done: {fault}")
        shows = turn.act in (Act.DIAL, Act.REDIAL, Act.ANSWER)
        phone = self._in_hand.phone
        self.seen.append(Seen(phone.screen, phone.open) if shows else Seen(None, phone.open))
        return None

    def take(self, count: int, patience_s: float, most: int | None = None) -> tuple[Sms, ...]:
        """Waits for new messages on the phone in hand and adds them to what was seen last."""
        taken = self._in_hand.receive(count, patience_s, most)
        last = self.seen[-1]
        self.seen[-1] = replace(last, messages=last.messages + tuple(sms.text for sms in taken))
        return taken

    def lost(self, turn: Turn) -> bool:
        """Whether what was seen leads away from the script, so that the next turns would only confuse."""
        return self.seen[-1].screen is not None and self.seen[-1].open == turn.closed

    def unexpected(self, settle_s: float) -> Iterator[Difference]:
        """Messages that arrived and that no turn expects."""
        line = self._script.turns[-1].line
        for name, handset in self._handsets.items():
            patience_s = settle_s if handset is self._in_hand else 0.0
            for sms in handset.receive(1, patience_s):
                yield Difference(line, f"a message arrived that no turn expects, for {name}", _rows((), sms.text))

    def result(self, differences: Sequence[Difference]) -> Played:
        phones = [handset.phone for handset in self._handsets.values()]
        cost = Cost(
            sum(phone.screens for phone in phones),
            sum(phone.keys for phone in phones),
            sum(len(phone.inbox) for phone in phones),
        )
        troubles = [Difference(1, trouble) for trouble in self._gateway.troubles[self._troubles_before :]]
        return Played(self._script, tuple(self.seen), cost, (*differences, *troubles, *_over(self._script, cost)))

    def _act(self, turn: Turn) -> None:
        handset = self._in_hand
        match turn.act:
            case Act.DIAL if handset.phone.open:
                raise StillOpen
            case Act.DIAL | Act.REDIAL:
                handset.dial(turn.text)
            case Act.ANSWER:
                handset.answer(turn.text)
            case Act.HANG_UP:
                handset.hang_up()
            case Act.SMS:
                handset.send_sms(turn.text)
            case Act.CLOCK:
                self._set_clock(later(self._clock or self._script.clock, turn.text))
            case Act.PHONE:
                self._in_hand = self._handsets[turn.text]
            case Act.ROUND:
                self._wire.try_round(turn.text, [number for _, number in self._script.phones])
                self._in_round = True

    def _begin_with_clock(self) -> None:
        try:
            self._set_clock(self._script.clock)
        except ServiceRefused as refusal:
            if refusal.status != HTTPStatus.NOT_FOUND:
                raise
            # no demonstration: it goes by its own clock, and so do the phones
            self._clock = self._script.clock

    def _set_clock(self, moment: datetime) -> None:
        # Steps count from the written moment, not from the running clock, so that every playing is alike.
        self._wire.set_clock(moment, passing=self._in_round)
        self._clock = moment


class StillOpen(SimulatorError):  # noqa: N818
    """A script dials on a phone whose session is open."""

    def __init__(self) -> None:
        super().__init__("a session is open: write 'hang up' before, or 'redial' for a line that dropped")


def compared(turn: Turn, seen: Seen) -> Iterator[Difference]:
    """What differs between a turn as written and what was seen after it."""
    after = f"after '{turn.written}'"
    if rows := _rows(turn.screen, seen.screen):
        what = "is another" if turn.screen else "is not written (record writes it)"
        yield Difference(turn.screen[0].number if turn.screen else turn.line, f"the screen {after} {what}", rows)
    if seen.screen is not None and seen.open == turn.closed:
        is_now = "awaits an answer" if seen.open else "has ended"
        yield Difference(turn.line, f"the session {is_now} {after}, and is written otherwise")
    yield from _fits(turn, seen)
    for place, message in enumerate(turn.messages):
        if place >= len(seen.messages):
            yield Difference(message[0].number, f"no such message arrived {after}", _rows(message, None))
        elif rows := _rows(message, seen.messages[place]):
            yield Difference(message[0].number, f"the message {after} is another", rows)


def _fits(turn: Turn, seen: Seen) -> Iterator[Difference]:
    counted = size(seen.screen or "")
    if not counted.fits_page:
        most = PAGE[counted.alphabet]
        what = f"the screen after '{turn.written}' is {counted.units} units long, a page holds {most}"
        yield Difference(turn.line, what)


def _over(script: Script, cost: Cost) -> Iterator[Difference]:
    for name in ("screens", "keys", "sms"):
        most = getattr(script.limits, name)
        if most is not None and getattr(cost, name) > most:
            yield Difference(1, f"it took {getattr(cost, name)} {name}, and may take at most {most}")


def _rows(expected: Sequence[Line], seen: str | None) -> tuple[str, ...]:
    wanted = [line.text for line in expected]
    shown = [] if seen is None else seen.split("\n")
    if wanted == shown:
        return ()
    rows = []
    for tag, low, high, start, end in SequenceMatcher(None, wanted, shown, autojunk=False).get_opcodes():
        mark = " " if tag == "equal" else "-"
        rows += [f"{line.number:>5} {mark} | {_visible(line.text)}" for line in expected[low:high]]
        if tag != "equal":
            rows += [f"      + | {_visible(line)}" for line in shown[start:end]]
    return tuple(rows)


def _visible(line: str) -> str:
    # A blank at the end of a line is a difference that nobody sees.
    bare = line.rstrip(" ")
    return bare + "␣" * (len(line) - len(bare))
