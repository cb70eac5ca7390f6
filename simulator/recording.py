"""What is done on phones, kept so that it can be written as a script that plays the same again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from simulator.errors import SimulatorError
from simulator.scripts import Seen, written


class FileThere(SimulatorError):  # noqa: N818
    """A recording would overwrite a file, or cannot be written."""

    def __init__(self, file: str, why: str) -> None:
        super().__init__(f"cannot write {file!r} ({why}): give the name of a new file")


@dataclass(frozen=True, slots=True)
class Recording:
    """Acts with what was seen after each, of one or several phones.

    A script has one phone in hand at a time, and expects its messages below its own acts. So an act on another
    phone is preceded by taking that one up, and what came to a phone that was not in hand waits until it is.

    Args:
        begun: when it began.
        number: the phone in hand.
        language: the language the phones are set to; empty for none.
        numbers: every phone that was used, in the order of its first use.
        acts: acts as a script writes them, with what was seen.
        waiting: (number, text) of messages that came to phones not in hand, oldest first.

    >>> from simulator.clock import moment
    >>> ann = Recording(moment("2027-03-01T08:00+03:00"), "+99900500001").acting("+99900500001", "dial")
    >>> both = ann.acting("+99900500002", "dial").receiving("+99900500001", "Hi")
    >>> [act for act, _ in both.acts], both.waiting
    (['dial', 'phone +99900500002', 'dial'], (('+99900500001', 'Hi'),))
    """

    begun: datetime
    number: str
    language: str = ""
    numbers: tuple[str, ...] = ()
    acts: tuple[tuple[str, Seen], ...] = ()
    waiting: tuple[tuple[str, str], ...] = ()

    def acting(self, number: str, act: str, seen: Seen | None = None) -> Recording:
        """The recording with one more act on a phone."""
        held = self._holding(number)
        return replace(held, acts=(*held.acts, (act, seen or Seen())))

    def receiving(self, number: str, text: str) -> Recording:
        """The recording with one more message that came to a phone."""
        if number != self.number or not self.acts:
            return replace(self, waiting=(*self.waiting, (number, text)))
        act, seen = self.acts[-1]
        return replace(self, acts=(*self.acts[:-1], (act, replace(seen, messages=(*seen.messages, text)))))

    def script(self, title: str = "A recorded conversation") -> str:
        """The recording as the text of a script.

        >>> from simulator.clock import moment
        >>> ann = Recording(moment("2027-03-01T08:00+03:00"), "+99900500001", "sw")
        >>> print(ann.acting("+99900500001", "dial", Seen("Hello", True)).script(), end="")
        title: A recorded conversation
        phone: +99900500001
        language: sw
        clock: 2027-03-01T08:00:00+03:00
        <BLANKLINE>
        dial
        | Hello
        """
        whole = self
        for number in dict.fromkeys(number for number, _ in self.waiting):
            whole = whole._holding(number)
        header = [("title", title)]
        header += [("phone", number) for number in whole.numbers or (self.number,)]
        header += [("language", self.language or "en")]
        header += [("clock", self.begun.isoformat(timespec="seconds"))]
        return written(header, whole.acts)

    def _holding(self, number: str) -> Recording:
        held = self if number in self.numbers else replace(self, numbers=(*self.numbers, number))
        if number != self.number and held.acts:
            held = replace(held, acts=(*held.acts, (f"phone {number}", Seen())))
        held = replace(held, number=number)
        late = [text for whose, text in held.waiting if whose == number]
        if not late or not held.acts:
            return held
        held = replace(held, waiting=tuple(held._others(number)))
        for text in late:
            held = held.receiving(number, text)
        return held

    def _others(self, number: str) -> Iterator[tuple[str, str]]:
        return ((whose, text) for whose, text in self.waiting if whose != number)


def keep(script: str, name: str) -> None:
    """Writes a script into a new file. Raises FileThere."""
    try:
        with Path(name).open("x", encoding="utf-8") as file:
            file.write(script)
    except (OSError, ValueError) as fault:
        raise FileThere(name, getattr(fault, "strerror", None) or "no name of a file") from None


def kept_as(name: str) -> str:
    """What is said of a file that now holds a conversation: how it is played, also where the texts are one's own.

    >>> kept_as("two.txt")
    'Written: two.txt. Play it with: python -m simulator play two.txt, and the --flows and --locales given here'
    """
    return (
        f"Written: {name}. Play it with: python -m simulator play {name}, and the --flows and --locales given here"
    )
