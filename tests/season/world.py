"""The service around the growers: the real use cases on a store of dictionaries, and a gateway in here."""

from __future__ import annotations

import hashlib
import random
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

import msgspec

from advisor.by_book import dialogues_of
from advisor.campaign.reading import read_round
from advisor.campaign.rounds import Round
from advisor.dialogue.book import Book
from advisor.dialogue.talk import Event, EventKind, Outcome, Session
from advisor.records.grower import Grower
from advisor.records.rain_book import Begun, RainBook
from advisor.records.several import place_in_hand
from advisor.service.agent_notes import AgentNotes
from advisor.service.campaigns import Campaigns
from advisor.service.caring import Caring
from advisor.service.changing import Message
from advisor.service.clock import unix_ms
from advisor.service.damage import Damage
from advisor.service.gauging import Gauges
from advisor.service.identity import Ids
from advisor.service.inbound import Answer, Inbound
from advisor.service.moving import Moving
from advisor.service.nudges import Nudges
from advisor.service.onsets import Noting, Onsets
from advisor.service.pacing import Pace
from advisor.service.planning import Planner
from advisor.service.posting import Response, Withheld
from advisor.service.relaying import Relaying
from advisor.service.rounds import Rounds
from advisor.service.sending import Sender
from advisor.service.stored import from_bytes
from advisor.service.ticking import Ticker
from advisor.store.api import RoundRow, RoundState
from advisor.store.memory import DictStore
from tests.season.clock import VirtualClock

#: A gateway that is never busy: how fast messages may leave is not what a season is about.
_PER_SECOND = 10_000_000
#: So often it refuses a message for now, and so much later it is tried again.
_TOO_MANY, _AGAIN = 0.01, timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class Left:
    """A message that the gateway took.

    Args:
        at: when.
        oid: its id.
        number: who gets it.
        text: what it says.
    """

    at: datetime
    oid: str
    number: str
    text: str


def remembered(noting: Noting, day_of: Callable[[datetime], date]) -> Noting:
    """What is noted of a zone, worked out once for the same readings on the same day."""
    last: dict[str, tuple[RainBook, date, tuple[Begun, ...]]] = {}

    def noted(zone: str, read: RainBook, now: datetime) -> tuple[Begun, ...]:
        found = last.get(zone)
        if found is None or found[:2] != (read, day_of(now)):
            found = last[zone] = read, day_of(now), noting(zone, read, now)
        return found[2]

    return noted


@dataclass(slots=True)
class Log:
    """All that is said on both sides, as a hash; lines themselves only where somebody wants them."""

    lines: list[str] | None = None
    count: int = 0
    _hash: hashlib._Hash = field(default_factory=hashlib.sha256)

    def add(self, *parts: str) -> None:
        line = "\t".join(parts)
        self.count += 1
        self._hash.update(line.encode() + b"\n")
        if self.lines is not None:
            self.lines.append(line)

    @property
    def digest(self) -> str:
        return self._hash.hexdigest()


class World:
    """The service.

    Args:
        book: what it says.
        seed: of the gateway's moods.
        begins: the first moment.
        on_left: told of each message that the gateway took.
    """

    def __init__(self, book: Book, seed: int, begins: datetime, on_left: Callable[[Left], None]) -> None:
        self.book = book
        self.clock = clock = VirtualClock(begins)
        self.store = store = DictStore()
        self.ids = ids = Ids(b"the secret of a season, long enough")
        self.log = Log()
        self.outcome: Outcome | None = None
        self.refused: dict[str, datetime] = {}
        #: When what was refused last is handed over again, None where nothing was.
        self.again_at: datetime | None = None
        self._on_left, self._chance = on_left, random.Random(f"gateway {seed}")
        dialogues = dialogues_of(book)
        self._step = dialogues.step
        self.dialogues = dialogues = replace(dialogues, step=self._stepped)
        assert dialogues.quiet is not None
        assert dialogues.noting is not None
        noting = remembered(dialogues.noting, book.day_of)
        damage = Damage(clock)
        sender = Sender(
            store, clock, "http://127.0.0.1/", "2500", self._post, damage, terms=dialogues.terms,
            per_second=_PER_SECOND, pace=Pace(),
        )  # fmt: skip
        self.relaying = relaying = Relaying(
            store, clock, dialogues.bands, damage, dialogues.retention, lambda: dialogues, ids
        )
        self.nudges = Nudges()
        self.rounds = Rounds(store, clock, relaying, damage, sender, self.nudges)
        self.campaigns = Campaigns(
            store, clock, Planner(store, clock, damage, dialogues.speech),
            Ticker(store, clock, ids, damage, dialogues.language, dialogues.speech),
            damage, dialogues.quiet, dialogues.languages,
            onsets=Onsets(Gauges(store, clock, ids), clock, noting, dialogues.zone_of, damage),
            notes=AgentNotes(
                store, clock, ids, damage, tuple(dialogues.agents.values()), dialogues.language, dialogues.speech
            ),
        )  # fmt: skip
        self.inbound = Inbound(
            lambda: dialogues,
            store,
            clock,
            ids,
            timedelta(hours=72),
            damage,
            nudge=self.rounds.nudge,
            caring=Caring(store, clock, ids),
        )
        self.moving = Moving(store, clock, ids)
        self.messages = 0

    def start(self, text: str, key: str) -> Round:
        """Starts a round now."""
        found = read_round(text, self.book.programme.languages)
        row = RoundRow(key, RoundState.RUNNING, unix_ms(self.clock.now()), text.encode())
        if self.store.start_round(row) is not None:
            raise ValueError(f"round {key} is there already")
        return found

    def take(self, number: str, kind: EventKind, typed: str, place: str, message: str) -> Answer:
        """One message to the service; what it answers by SMS leaves at once."""
        self.messages += 1
        now = self.clock.now()
        body = f"{message} {number} {kind} {typed}".encode()
        channel = "sms" if kind is EventKind.SMS else "ussd"
        answer = self.inbound.take(Message(channel, message, number, kind, typed, place, now, body))
        self.log.add(str(unix_ms(now)), number, channel, kind.value, typed, answer.body.decode())
        self.rounds.hand_over_nudged()
        return answer

    def go_over(self) -> None:
        """Everything that the service does by itself at this moment."""
        while self.campaigns.go_over():
            pass
        self.carry()

    def carry(self) -> None:
        """What one thing that was said brings with it: relays are applied, and messages that wait leave."""
        self.rounds.go_over()

    def bag_in_hand(self, grower: str) -> int:
        """The place of the bag of seed that a grower speaks of, as her screen names it."""
        return place_in_hand(from_bytes(self.store.value(grower)[1]).record, "lot")

    def asks(self, grower: str) -> str:
        """The question that is open for a grower, empty for none."""
        session = from_bytes(self.store.value(grower)[1]).session
        return ".".join(session.spots[-1]) if session is not None and session.spots else ""

    @property
    def spot(self) -> str:
        """The screen that the last message led to, empty where the conversation is over."""
        session = None if self.outcome is None else self.outcome.session
        return "" if session is None or not session.spots else ".".join(session.spots[-1])

    def _stepped(self, session: Session | None, known: Grower, event: Event, now: datetime) -> Outcome:
        self.outcome = self._step(session, known, event, now)
        return self.outcome

    def _post(self, oid: str, body: bytes, may_begin: Callable[[], bool], /) -> Response:
        if not may_begin():
            raise Withheld
        one = msgspec.json.decode(body)
        if self._chance.random() < _TOO_MANY:
            now = self.refused[one["to"]] = self.clock.now()
            self.again_at = self.again_at or now + _AGAIN
            return Response(503)
        left = Left(self.clock.now(), oid, one["to"], one["text"])
        self.log.add(str(unix_ms(left.at)), oid, left.number, left.text)
        self._on_left(left)
        return Response(202)
