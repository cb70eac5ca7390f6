"""Reads conversation files, and says all that is wrong with one at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime

from simulator.clock import ClockUnreadable, later, moment
from simulator.phone import NumberRefused, Phone
from simulator.scripts import Act, Limits, Line, Script, ScriptFaults, Turn, limits

_ACTS_WITH_TEXT = (Act.ANSWER, Act.SMS)
_ACTS_WITH_WORD = (Act.DIAL, Act.REDIAL, Act.CLOCK, Act.PHONE, Act.ROUND)
_KEYS = ("title", "phone", "language", "clock", "at most")
_NEEDED = ("title", "phone", "language", "clock")

#: From which steps of time are tried until the header has said when the conversation starts.
_ANY_MOMENT = datetime(2027, 1, 1, tzinfo=UTC)


def read(source: str, name: str) -> Script:
    """The conversation that a file holds.

    Args:
        source: the file's text.
        name: the file's name, for faults and reports.

    Raises:
        ScriptFaults: with every fault of the file.

    >>> head = "title: t\\nphone: +99900500001\\nlanguage: en\\nclock: 2027-03-01T08:00+03:00\\n"
    >>> read(head + "dial\\n| Hello\\n", "hello.txt").turns[0].screen
    (Line(number=6, text='Hello'),)
    """
    reader = _Reader(name)
    for number, line in enumerate(source.splitlines(), 1):
        reader.line(number, line)
    return reader.script()


class _Reader:
    def __init__(self, name: str) -> None:
        self._name = name
        self._faults: list[str] = []
        self._turns: list[Turn] = []
        self._header: dict[str, str] = {}
        self._phones: list[tuple[str, str]] = []
        self._clock = _ANY_MOMENT
        self._limits = Limits()
        self._in_message = False

    def line(self, number: int, line: str) -> None:
        in_message, self._in_message = self._in_message, False
        if not line.strip() or line.startswith("#"):
            return
        if line.startswith("inbox|"):
            self._message_line(Line(number, _behind(line, "inbox|")), in_message)
        elif line.startswith("|"):
            self._screen_line(Line(number, _behind(line, "|")))
        elif line.strip() == "closed":
            self._closed(number)
        elif (act := _act(line)) is not None:
            self._act(number, act, _behind(line, act))
        else:
            self._header_line(number, line)

    def script(self) -> Script:
        for key in _NEEDED:
            if key not in self._header:
                self._fault(1, f"the header says no {key}", f"write a line '{key}: ...' above the first turn")
        if not self._turns:
            self._fault(1, "no turn is written", "write 'dial' below the header")
        known = {name for name, _ in self._phones}
        for turn in self._turns:
            if turn.act is Act.PHONE and turn.text not in known:
                self._fault(
                    turn.line, f"no phone {turn.text!r} in the header", f"known: {', '.join(sorted(known))}"
                )
        if self._faults:
            raise ScriptFaults(self._faults)
        header = self._header
        return Script(
            self._name,
            header["title"],
            tuple(self._phones),
            header["language"],
            self._clock,
            self._limits,
            tuple(self._turns),
        )

    def _fault(self, number: int, what: str, instead: str) -> None:
        self._faults.append(f"{self._name}:{number}: {what}: {instead}")

    def _act(self, number: int, act: Act, text: str) -> None:
        typed = text if act in _ACTS_WITH_TEXT else text.strip()
        if typed and act not in (*_ACTS_WITH_TEXT, *_ACTS_WITH_WORD):
            self._fault(number, f"{act} takes nothing behind it", f"write '{act}' alone")
        if act is Act.CLOCK:
            self._readable(number, lambda: later(self._clock, typed))
        self._turns.append(Turn(act, typed, number))

    def _screen_line(self, line: Line) -> None:
        if not self._turns:
            self._fault(line.number, "a screen before the first turn", "write 'dial' above it")
        elif self._turns[-1].messages or self._turns[-1].closed:
            self._fault(
                line.number, "a screen line below the end of its screen", "write the screen's lines together"
            )
        else:
            self._turns[-1] = replace(self._turns[-1], screen=(*self._turns[-1].screen, line))

    def _message_line(self, line: Line, goes_on: bool) -> None:
        if not self._turns:
            self._fault(line.number, "a message before the first turn", "write 'dial' above it")
            return
        before = self._turns[-1].messages
        messages = (*before[:-1], (*before[-1], line)) if goes_on else (*before, (line,))
        self._turns[-1] = replace(self._turns[-1], messages=messages)
        self._in_message = True

    def _closed(self, number: int) -> None:
        if not self._turns or not self._turns[-1].screen:
            self._fault(number, "closed stands below no screen", "write it below the last line of a screen")
        else:
            self._turns[-1] = replace(self._turns[-1], closed=True)

    def _header_line(self, number: int, line: str) -> None:
        key, colon, value = line.partition(":")
        value = value.strip()
        if self._turns or not colon:
            acts = ", ".join(repr(str(act)) for act in Act)
            self._fault(
                number, f"{line.split(' ')[0]!r} begins no turn", f"known: {acts}, '|', 'closed', 'inbox|'"
            )
        elif key not in _KEYS:
            self._fault(number, f"no header {key!r}", f"known: {', '.join(_KEYS)}")
        elif key in self._header and key != "phone":
            self._fault(number, f"a second {key!r}", "say it once")
        else:
            self._header[key] = value
            self._header_value(number, key, value)

    def _header_value(self, number: int, key: str, value: str) -> None:
        if not value:
            self._fault(number, f"{key} says nothing", "write a value behind the colon")
        elif key == "phone":
            self._readable(number, lambda: self._phone(number, value))
        elif key == "clock":
            self._readable(number, lambda: self._start(value))
        elif key == "at most":
            found = limits(value)
            self._limits = found or Limits()
            if found is None:
                self._fault(number, f"{value!r} is no limit", "write it like '8 screens, 16 keys, 2 sms'")

    def _phone(self, number: int, value: str) -> None:
        name, _, phone = value.rpartition(" ")
        found = (name or phone, Phone(phone).number)
        if any(found[0] == name or found[1] == phone for name, phone in self._phones):
            self._fault(number, f"phone {value!r} is there already", "give each phone its own name and number")
        self._phones.append(found)

    def _start(self, value: str) -> None:
        self._clock = moment(value)

    def _readable(self, number: int, use: Callable[[], object]) -> None:
        try:
            use()
        except (NumberRefused, ClockUnreadable) as fault:
            self._faults.append(f"{self._name}:{number}: {fault}")


def _act(line: str) -> Act | None:
    return next((act for act in Act if line == act or line.startswith(f"{act} ")), None)


def _behind(line: str, mark: str) -> str:
    return line[len(mark) :].removeprefix(" ")
