"""A basic phone as a value: its number, what it shows, what has come in, and how much its owner had to do."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from hashlib import blake2s

from simulator.errors import SimulatorError

_NUMBER = re.compile(r"\+999[0-9]{4,12}")


class NumberRefused(SimulatorError):  # noqa: N818
    """A number that a network could reach, or that is none."""

    def __init__(self, number: str) -> None:
        super().__init__(
            f"{number!r} is no number for a simulated phone: give +999 and 4 to 12 digits, "
            "for example +99900500001, which no network can reach"
        )


@dataclass(frozen=True, slots=True)
class Sms:
    """A text message as it arrived.

    Args:
        message_id: the sender's id; a resend carries the same.
        sender: whom it is from.
        number: the phone it is for.
        text: what it says.
        alphabet: the alphabet it was sent in, ``gsm7`` or ``ucs2``.
        segments: how many messages the network counts.
    """

    message_id: str
    sender: str
    number: str
    text: str
    alphabet: str
    segments: int


@dataclass(frozen=True, slots=True)
class Phone:
    """A phone and its owner's effort so far.

    Args:
        number: ``+999`` and 4 to 12 digits.
        session: the network's id of the open session; empty while none is open.
        screen: the last screen shown; None before the first.
        inbox: text messages, oldest first.
        sent: messages sent to the service so far, of any kind; ids derive from it.
        screens: screens shown so far.
        keys: keys pressed so far: every character and every send, dialling not counted.

    >>> ann = Phone("+99900500001").dialling("run").showing("How many acres?", True)
    >>> ann.typing("2.5").keys, ann.screens, ann.open
    (4, 1, True)
    """

    number: str
    session: str = ""
    screen: str | None = None
    inbox: tuple[Sms, ...] = ()
    sent: int = 0
    screens: int = 0
    keys: int = 0

    def __post_init__(self) -> None:
        if _NUMBER.fullmatch(self.number) is None:
            raise NumberRefused(self.number)

    @property
    def open(self) -> bool:
        """Whether the service waits for an answer on this phone."""
        return bool(self.session)

    def numbered(self) -> Phone:
        """The phone with one more message under way, so that its id is a new one."""
        return replace(self, sent=self.sent + 1)

    def message_id(self, run: str) -> str:
        """The id of the message under way: the same for the same run, phone and count.

        Args:
            run: a token that differs from one run of the simulator to the next.
        """
        # Ids turn up in logs, which never carry a number, so the number enters as a digest.
        return f"{run}-{blake2s(self.number.encode(), digest_size=4).hexdigest()}-{self.sent:04d}"

    def dialling(self, run: str) -> Phone:
        """The phone with a new session open; one that was open has dropped."""
        return replace(self, session=f"{self.message_id(run)}-s")

    def showing(self, text: str, is_open: bool) -> Phone:
        """The phone with another screen on it."""
        return replace(self, screen=text, screens=self.screens + 1, session=self.session if is_open else "")

    def typing(self, text: str) -> Phone:
        """The phone after its owner typed a text and sent it."""
        return replace(self, keys=self.keys + len(text) + 1)

    def hung_up(self) -> Phone:
        """The phone with no session open."""
        return replace(self, session="")

    def receiving(self, messages: tuple[Sms, ...]) -> Phone:
        """The phone with more messages in its inbox."""
        return replace(self, inbox=(*self.inbox, *messages))
