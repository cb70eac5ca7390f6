"""The phone in a plain terminal: every turn prints one block of lines, so it works over the slowest line.

What is typed goes to the screen of the phone; a line that starts with a colon is for the terminal itself.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from typing import TextIO

from simulator.clock import later
from simulator.errors import SimulatorError
from simulator.handset import Handset
from simulator.keyboard import Keyboard
from simulator.recording import Recording, keep, kept_as
from simulator.screen import message_drawn, phone_drawn, wrapped
from simulator.scripts import Seen

_HELP_LINE = " :dial :hang :sms TEXT :inbox :clock :round :phone :facts :record :help :quit"
_HELP = """\
 What you type goes to the screen on the phone. With nothing open, Enter dials.
 :dial [DIGITS]    dials the service; an open session drops
 :hang             hangs up
 :sms TEXT         sends a text message
 :inbox            shows all text messages of this phone
 :clock +3d        moves the clock: +30m +2h +3d +1w or 2027-03-01T08:00+03:00
 :round NAME       starts a round for the phones used, for example seed_test
 :phone NUMBER     takes up another phone, for example +99900500002
 :facts            shows what the demo service keeps of this conversation
 :record FILE      writes this conversation as a script to be played again
 :quit             leaves, as Ctrl-D does"""

_REPLY_PATIENCE_S = 2.0
_COLUMNS = 76


class NoSuchCommand(SimulatorError):  # noqa: N818
    """A word behind a colon that is no command, or one that lacks its text."""


def run(phone: Handset, keys_in: TextIO, screen_out: TextIO) -> int:
    """Lets a person use a phone until they leave.

    Args:
        phone: the phone in hand at the start.
        keys_in: what is typed.
        screen_out: where the phone is drawn.

    Returns:
        exit code 0, however the person left.
    """
    terminal = _Terminal(phone, screen_out)
    with Keyboard(keys_in) as keyboard:
        phone.gateway.listen(keyboard.ring)
        try:
            terminal.welcome()
            while terminal.obeys(keyboard):
                pass
        except KeyboardInterrupt:
            pass
        finally:
            phone.gateway.listen(None)
    screen_out.write("\n")
    screen_out.flush()
    return 0


class _Terminal:
    def __init__(self, phone: Handset, screen_out: TextIO) -> None:
        self._phone = phone
        self._phones = {phone.phone.number: phone}
        self._in_round = False
        self._out = screen_out
        self._recording = Recording(phone.wire.clock.now(), phone.phone.number, phone.language)
        self._troubles_shown = len(phone.gateway.troubles)
        self._commands: dict[str, Callable[[str], None]] = {
            "dial": self._dial,
            "hang": self._hang,
            "sms": self._sms,
            "inbox": self._inbox,
            "clock": self._clock,
            "round": self._begin_round,
            "phone": self._take_up,
            "facts": self._facts,
            "record": self._record,
            "help": lambda _: self._say(_HELP),
        }

    def welcome(self) -> None:
        self._say(f" A simulated phone, {self._phone.phone.number}. Enter dials, :help explains.")

    def obeys(self, keyboard: Keyboard) -> bool:
        """Waits for a line and does what it says; false when the person leaves."""
        try:
            line = self._line(keyboard)
        except EOFError:
            return False
        if line.strip() == ":quit":
            return False
        try:
            self._do(line)
        except SimulatorError as fault:
            self._say(_complaint(str(fault)))
        return True

    def _line(self, keyboard: Keyboard) -> str:
        self._tell(self._news())
        self._prompt()
        while (line := keyboard.line()) is None:
            if news := self._news():
                self._tell(["", *news])
                self._prompt()
        if not keyboard.echoes:
            self._say(line)
        return line

    def _prompt(self) -> None:
        self._out.write("answer> " if self._phone.phone.open else "Enter dials> ")
        self._out.flush()

    def _do(self, line: str) -> None:
        if line.startswith(":"):
            word, _, text = line[1:].partition(" ")
            if word not in self._commands:
                raise NoSuchCommand(f"no command :{word}: known are{_HELP_LINE}")
            self._commands[word](text.strip())
        elif self._phone.phone.open:
            self._phone.answer(line)
            self._show(f"> {line}".rstrip())
        elif line.strip():
            raise NoSuchCommand("nothing is open: press Enter to dial, or :sms TEXT to write")
        else:
            self._dial("")

    def _dial(self, digits: str) -> None:
        act = "redial" if self._phone.phone.open else "dial"
        self._phone.dial(digits)
        self._show(f"{act} {digits}".rstrip())

    def _hang(self, _: str) -> None:
        self._phone.hang_up()
        self._keep("hang up")
        self._say(" Hung up.")

    def _sms(self, text: str) -> None:
        if not text:
            raise NoSuchCommand("write the message behind :sms")
        gateway, number = self._phone.gateway, self._phone.phone.number
        before = len(gateway.inbox(number))
        self._phone.send_sms(text)
        self._keep(f"sms> {text}")
        self._say(" Sent.")
        gateway.wait(number, before + 1, _REPLY_PATIENCE_S)

    def _inbox(self, _: str) -> None:
        for message in self._phone.phone.inbox:
            self._say(message_drawn(message))
        if not self._phone.phone.inbox:
            self._say(" No text messages.")

    def _clock(self, said: str) -> None:
        wire = self._phone.wire
        wire.set_clock(later(wire.clock.now(), said), passing=self._in_round)
        self._keep(f"clock {said}")
        self._say(f" It is now {wire.clock.now():%a %d %b %Y, %H:%M}.")

    def _begin_round(self, name: str) -> None:
        if not name:
            raise NoSuchCommand("write the name of a round behind :round, for example seed_test")
        self._phone.wire.try_round(name, list(self._phones))
        self._in_round = True
        self._keep(f"round {name}")
        self._say(f" {name} has begun for {', '.join(self._phones)}: :clock goes to its days.")

    def _take_up(self, number: str) -> None:
        if number not in self._phones:
            self._phones[number] = self._phone.another(number)
        self._phone = self._phones[number]
        self._say(f" In hand: {number}")

    def _facts(self, _: str) -> None:
        found = self._phone.wire.demo_session(self._phone.phone.number)
        rows = [row for line in _facts_listed(found) for row in wrapped(line, _COLUMNS)]
        self._say("\n".join(f" {row}" for row in rows))

    def _record(self, name: str) -> None:
        keep(self._recording.script(), name)
        self._say(f" {kept_as(name)}")

    def _show(self, act: str) -> None:
        phone = self._phone.phone
        self._keep(act, Seen(phone.screen, phone.open))
        self._say(f"\n{phone_drawn(phone, self._phone.wire.clock.now())}\n{_HELP_LINE}")

    def _keep(self, act: str, seen: Seen | None = None) -> None:
        self._recording = self._recording.acting(self._phone.phone.number, act, seen)

    def _news(self) -> list[str]:
        """The messages that have arrived on any phone since, drawn, and what went wrong at the gateway."""
        news = []
        for handset in self._phones.values():
            for message in handset.receive():
                news.append(message_drawn(message))
                self._recording = self._recording.receiving(message.number, message.text)
        troubles = self._phone.gateway.troubles[self._troubles_shown :]
        self._troubles_shown += len(troubles)
        return [*news, *(_complaint(trouble) for trouble in troubles)]

    def _tell(self, news: list[str]) -> None:
        for text in news:
            self._say(text)

    def _say(self, text: str) -> None:
        self._out.write(f"{text}\n")


def _facts_listed(found: Mapping[str, object]) -> Iterator[str]:
    for name, value in found.items():
        if isinstance(value, dict):
            yield from (f"{name} {part}: {json.dumps(what, ensure_ascii=False)}" for part, what in value.items())
        else:
            yield f"{name}: {json.dumps(value, ensure_ascii=False)}"


def _complaint(text: str) -> str:
    rows = [row for line in text.splitlines() for row in wrapped(line, _COLUMNS)]
    return "\n".join(f" ! {row}" for row in rows)
