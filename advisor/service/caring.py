"""An agent's work by phone: judges a PIN, and finds the grower whose number was typed, before the step decides.

What is typed at the PIN, and another's number, go no further than this module: the step sees a verdict, and what
is kept of the message (history, digest) is that of an empty one. A run of four digits or more that an agent types
anywhere is veiled as well, since a PIN that comes too late lands on another screen.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from msgspec.structs import replace

from advisor.agronomy.programme import Agent
from advisor.campaign.several_bags import bags_in
from advisor.dialogue.answers import tidy
from advisor.dialogue.flows import LAST_DIGITS, AskKind
from advisor.dialogue.talk import Desk, Event, Seen, Work
from advisor.records.grower import Grower, Pin
from advisor.records.several import bags_of, place_in_hand
from advisor.service.changing import Message
from advisor.service.clock import Clock
from advisor.service.endings import Endings
from advisor.service.identity import Ids
from advisor.service.numbers import NoNumber
from advisor.service.stored import Stored, from_bytes
from advisor.service.talking import Dialogues
from advisor.store.api import Store

#: A PIN has so many digits; with five tries a day six digits stand for centuries.
PIN_DIGITS = (6, 8)
#: In a demonstration each agent has this one until another is set.
DEMO_PIN = "274938"
#: What stands for the body of a message that is not kept.
VEILED_BODY = b"veiled"
#: scrypt's cost: some 40 ms and 16 MB a try (RFC 7914 with N 2^14, r 8, p 1).
_COST = {"n": 2**14, "r": 8, "p": 1, "dklen": 32}
_DIGITS = re.compile(r"\d(?:[\s.-]?\d){3,}")
#: Names the agent of a grower, whatever the village.
AGENT = "grower.agent"
#: What an agent's questions rest on.
_KNOWS = ("lot.test_sown", "lot.early")


class UnfitPin(Exception):  # noqa: N818 - named for what is refused
    """A PIN that is too short or too easy; the text says what to give."""


def check_pin(pin: str) -> None:
    """Refuses a PIN that is no such number of digits, or one that everybody tries first.

    >>> check_pin("274938")
    >>> try:
    ...     check_pin("123456")
    ... except UnfitPin as unfit:
    ...     print(unfit)
    the PIN is too easy: give digits that neither repeat nor count up or down
    """
    low, high = PIN_DIGITS
    if not (pin.isascii() and pin.isdecimal() and low <= len(pin) <= high):
        raise UnfitPin(f"the PIN is no number of {low} to {high} digits: give {low} to {high} digits")
    steps = {(int(right) - int(left)) % 10 for left, right in pairwise(pin)}
    if len(steps) == 1:
        raise UnfitPin("the PIN is too easy: give digits that neither repeat nor count up or down")


def mark_of(pin: str, agent: str, secret: bytes, salt: bytes) -> str:
    """Salt and slow keyed hash of a PIN, for the store.

    Args:
        pin: the PIN.
        agent: key of the agent.
        secret: the id secret, so that the store alone is not enough to try PINs.
        salt: random bytes, drawn anew with each PIN.
    """
    keyed = hmac.digest(secret, f"pin\0{agent}\0{pin}".encode(), "sha256")
    return f"{salt.hex()}:{hashlib.scrypt(keyed, salt=salt, **_COST).hex()}"


def new_mark(pin: str, agent: str, secret: bytes) -> str:
    """A mark with a salt of its own. Raises UnfitPin."""
    check_pin(pin)
    return mark_of(pin, agent, secret, secrets.token_bytes(16))


def is_pin(typed: str, mark: str, agent: str, secret: bytes) -> bool:
    """Whether a PIN was typed that has this mark."""
    salt, _, _ = mark.partition(":")
    return hmac.compare_digest(mark_of(typed, agent, secret, bytes.fromhex(salt)), mark)


def is_in_care(record: Grower, agent: Agent) -> bool:
    """Whether a grower is in an agent's care: named as the grower's agent, or else by the village.

    Args:
        record: what is known of the grower; nobody is who has not agreed.
        agent: the agent.
    """
    if record.agreed is None:
        return False
    named, village = record.fact(AGENT), record.fact("grower.village")
    return cares_for(agent, named and named.value, village and village.value)


def cares_for(agent: Agent, named: object, village: object) -> bool:
    """Whether growers are in an agent's care.

    Args:
        agent: the agent.
        named: key of the agent that is named for the grower, None where none is.
        village: key of the grower's village; anything else where it is not known.
    """
    return village in agent.villages if named is None else named == agent.key


@dataclass(frozen=True, slots=True)
class Caring:
    """Looks for agents.

    Args:
        store: where the growers are.
        clock: what the time is.
        ids: hashes numbers and holds the secret.
        demo_pin: the PIN of each agent who has none, empty for none; for demonstrations alone.
    """

    store: Store
    clock: Clock
    ids: Ids
    demo_pin: str = ""

    def veiled(
        self, message: Message, before: Stored, dialogues: Dialogues, now: datetime
    ) -> tuple[Event, Message, Stored]:
        """What the step may see of a message, and what may be kept of it.

        Args:
            message: what came.
            before: what is stored of its sender.
            dialogues: for the agents, and for what is asked.
            now: the moment.

        Returns:
            The event, the message to write down, and what is stored, with the PIN of a demonstration where an
            agent has none. Of everybody but agents they are as they came.
        """
        event, agent = message.event, dialogues.agents.get(message.number)
        if agent is None:
            return event, message, before
        waits = dialogues.waits_for(before.session, event, now)
        record = before.record
        if record.pin is None and record.agreed is not None and self.demo_pin:
            mark = new_mark(self.demo_pin, agent.key, self.ids.secret)
            before = replace(before, record=replace(record, pin=Pin(mark)))
        pin = before.record.pin
        is_open = pin is not None and pin.is_open(now)
        desk = self._desk(pin, now)
        seen = None
        if waits is AskKind.SECRET:
            seen = self._tried(event.text, pin, agent, now)
        elif waits is AskKind.GROWER and is_open:
            seen = self._found(event.text, agent, dialogues, now)
        kept = message
        if waits is not None or _DIGITS.search(event.text):
            kept = replace(message, text="", body=VEILED_BODY)
        text = "" if waits is not None else event.text
        return replace(event, text=text, work=Work(desk, seen)), kept, before

    def _desk(self, pin: Pin | None, now: datetime) -> Desk:
        if pin is None:
            return Desk.NO_PIN
        if pin.is_locked(now):
            return Desk.LOCKED
        return Desk.OPEN if pin.is_open(now) else Desk.SHUT

    def _tried(self, typed: str, pin: Pin | None, agent: Agent, now: datetime) -> Seen:
        if pin is None or pin.is_locked(now):
            return Seen("pin_locked")
        digits = "".join(tidy(typed.strip()).split())
        if is_pin(digits, pin.mark, agent.key, self.ids.secret):
            return Seen()
        return Seen("pin_locked" if pin.tried(right=False, now=now).is_locked(now) else "wrong_pin")

    def _found(self, typed: str, agent: Agent, dialogues: Dialogues, now: datetime) -> Seen:
        digits = re.sub(r"\D", "", tidy(typed.strip()))
        if len(digits) < LAST_DIGITS:
            return Seen("few_digits")
        full = self._in_full(typed, dialogues)
        known = [(full, self._record(full))] if full else Endings(self.store, self.ids).found(digits)
        mine = [(grower, record) for grower, record in known if is_in_care(record, agent)]
        if len(mine) != 1:
            return Seen("several_growers" if mine else "no_such_grower")
        grower, record = mine[0]
        facts = dialogues.speech.facts(record, now)
        in_hand = bags_of(record)[place_in_hand(record, "lot")]
        bags = tuple((number, _rests_on(bag)) for number, bag in bags_in(facts) or ((in_hand, facts),))
        return Seen(grower=grower, last=record.number[-LAST_DIGITS:], bags=bags)

    def _in_full(self, typed: str, dialogues: Dialogues) -> str:
        """Id of who writes from a number that was typed in full, empty where it was not."""
        if dialogues.dialling is None:
            return ""
        try:
            number = dialogues.dialling.e164(tidy(typed.strip()))
        except NoNumber:
            return ""
        return self.store.read(self.ids.number(number), self.ids.message(number, "")).grower

    def _record(self, grower: str) -> Grower:
        return from_bytes(self.store.value(grower)[1]).record


def _rests_on(bag: Mapping[str, object]) -> tuple[tuple[str, int], ...]:
    return tuple((name, told) for name in _KNOWS if isinstance(told := bag.get(name), int))
