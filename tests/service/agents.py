"""Agents and growers on the shipped dialogues, with a store in this process: who types what, and what is kept."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import timedelta

import msgspec

from advisor.by_book import dialogues_of
from advisor.dialogue.book import Book
from advisor.dialogue.talk import EventKind
from advisor.records.grower import Grower
from advisor.service.caring import Caring
from advisor.service.changing import Message
from advisor.service.clock import unix_ms
from advisor.service.damage import Damage
from advisor.service.inbound import Inbound
from advisor.service.outgoing import Parcel
from advisor.service.pins import Pins
from advisor.service.relaying import Relaying
from advisor.service.stored import from_bytes
from advisor.store.api import Store
from advisor.store.names import bucket_of
from tests.service.stage import BANDS, IDS, StandingClock

#: The agents of the demonstration programme: one for Dovi, Kesu and Lawi, one for the hills.
VALLEY, HILLS = "+99900700001", "+99900700002"
#: Growers: two of Kesu, in the valley, and one of Mbek.
ANN, BEN, CLEO = "+999001112233", "+999001112244", "+999001113333"
PIN, OTHER = "507182", "507183"


@dataclass
class Village:
    """All phones of a small place, with one clock.

    Args:
        book: the dialogues.
        store: what remembers.
    """

    book: Book
    store: Store
    clock: StandingClock = field(default_factory=StandingClock)
    count: int = 0
    sent: list[tuple[str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.dialogues = dialogues_of(self.book)
        caring = Caring(self.store, self.clock, IDS)
        self.inbound = Inbound(
            lambda: self.dialogues,
            self.store,
            self.clock,
            IDS,
            timedelta(hours=72),
            Damage(self.clock),
            caring=caring,
        )
        damage = Damage(self.clock)
        self.relaying = Relaying(self.store, self.clock, BANDS, damage, current=lambda: self.dialogues, ids=IDS)
        self.pins = Pins(self.store, self.clock, IDS)

    def agent(self, number: str = VALLEY):  # type: ignore[no-untyped-def]
        return next(agent for agent in self.book.programme.agents if agent.number == number)

    def agrees(self, number: str, village: str = "2") -> None:
        """Calls for the first time: English, yes, and a village of the list."""
        self.dial(number)
        self.type(number, "1", "1", village)

    def works(self, number: str = VALLEY) -> str:
        """An agent with a PIN calls and opens the work; what the phone shows then."""
        self.dial(number)
        return self.type(number, "8", "1", PIN)

    def dial(self, number: str) -> str:
        return self._send(number, EventKind.BEGIN, "")

    def type(self, number: str, *texts: str) -> str:
        shown = ""
        for text in texts:
            shown = self._send(number, EventKind.ANSWER, text)
        return shown

    def sms(self, number: str, text: str) -> None:
        self.count += 1
        now = self.clock.now()
        body = f"{number} {self.count} {text}".encode()
        self.inbound.take(Message("sms", f"m{self.count}", number, EventKind.SMS, text, "sms", now, body))

    def again(self, number: str, text: str) -> str:
        """The gateway sends the last message of a call once more."""
        return self._as(number, EventKind.ANSWER, text, self.count)

    def relay(self) -> None:
        for bucket in self.store.busy(0).relays:
            self.relaying.apply_waiting(bucket)

    def record(self, number: str) -> Grower:
        return from_bytes(self.store.value(IDS.number(number))[1]).record

    def facts(self, number: str) -> dict[str, object]:
        return {fact.name: fact.value for fact in self.record(number).facts if not fact.name.startswith("grower.")}

    def texts(self, number: str = ANN) -> list[str]:
        """The SMS that left for a number so far."""
        now_ms = unix_ms(self.clock.now()) + 60_000
        claimed = self.store.claim(bucket_of(IDS.number(number)), now_ms, 10**10, 100)
        parcels = [msgspec.json.decode(message.body, type=Parcel) for message in claimed]
        self.sent += [(parcel.number, parcel.text) for parcel in parcels]
        return [text for to, text in self.sent if to == number]

    def _send(self, number: str, kind: EventKind, text: str) -> str:
        self.count += 1
        return self._as(number, kind, text, self.count)

    def _as(self, number: str, kind: EventKind, text: str, count: int) -> str:
        now = self.clock.now()
        body = f"{number} {count} {kind} {text}".encode()
        message = Message("ussd", f"m{count}", number, kind, text, f"ussd:{number}", now, body)
        return str(json.loads(self.inbound.take(message).body)["text"])


def charge(place: Village, digits: str = "2233") -> str:
    """An agent at work, with a grower chosen by the last digits."""
    place.works()
    return place.type(VALLEY, digits)
