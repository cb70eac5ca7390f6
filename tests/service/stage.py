"""A small stage for the use cases: a clock that stands, dialogues in one line, a store in memory."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import msgspec

from advisor.dialogue.talk import Effect, Event, EventKind, Outcome, Reply, Session, Spot
from advisor.records.grower import Grower
from advisor.service.changing import Message
from advisor.service.clock import unix_ms
from advisor.service.damage import Damage
from advisor.service.figures import Bands
from advisor.service.identity import Ids
from advisor.service.inbound import Inbound
from advisor.service.outgoing import Parcel
from advisor.service.relaying import Relaying
from advisor.service.rounds import Rounds
from advisor.service.sending import Sender
from advisor.service.stored import Stored, from_bytes
from advisor.service.talking import Dialogues, Step
from advisor.store.api import Store
from advisor.store.names import bucket_of

NOW = datetime(2027, 3, 1, 7, 30, tzinfo=UTC)
ANN = "+999001112233"
IDS = Ids(b"a secret of the tests, long enough")
BANDS = Bands(80, 60)
HOUR = timedelta(hours=1)


class StandingClock:
    """A clock that moves only when told to, or when somebody waits."""

    def __init__(self, now: datetime = NOW) -> None:
        self.at = now
        self.passed_s = 0.0

    def now(self) -> datetime:
        return self.at + timedelta(seconds=self.passed_s)

    def monotonic_s(self) -> float:
        return self.passed_s

    def wait(self, seconds: float) -> None:
        self.passed_s += seconds


def session(
    screen: str = "area", *, place: str = "ussd:s1", until: datetime = NOW + HOUR, **parts: object
) -> Session:
    """A session on one screen of a flow."""
    usual: dict[str, object] = {
        "spots": (Spot("buy_list", screen),),
        "asks": "number",
        "via": "",
        "page": 0,
        "notice": "",
        "trail": (),
        "answers": (),
        "learnt": (),
        "language": "en",
        "place": place,
        "until": until,
    }
    return Session(**(usual | parts))


def says(text: str, *effects: Effect, to: Session | None = None) -> Step:
    """A step that always decides the same."""
    return lambda _session, _known, _event, _now: Outcome(to, Reply(text, open=to is not None), effects)


def echo(_session: Session | None, _known: Grower, event: Event, now: datetime) -> Outcome:
    """A step that shows what was typed and stays on its screen."""
    return Outcome(session(until=now + HOUR), Reply(f"You typed {event.text}", open=True))


def breaks(_session: Session | None, _known: Grower, event: Event, _now: datetime) -> Outcome:
    """A step with a fault, whose text holds what was typed."""
    raise RuntimeError(f"cannot make sense of {event.text}")


def dialogues(step: Step) -> Dialogues:
    """Dialogues around a step."""
    return Dialogues(step, "book-1", lambda language: f"Please try later ({language})", "en", BANDS)


def inbound(store: Store, step: Step, clock: StandingClock | None = None, **parts: object) -> Inbound:
    """The use case around a step."""
    clock = clock or StandingClock()
    parts = {"damage": Damage(clock)} | parts
    current = dialogues(step)
    return Inbound(lambda: current, store, clock, IDS, timedelta(hours=72), **parts)


def relaying(store: Store, clock: StandingClock | None = None) -> Relaying:
    """The use case for relays."""
    clock = clock or StandingClock()
    return Relaying(store, clock, BANDS, Damage(clock))


def rounds(store: Store, clock: StandingClock, sender: Sender | None = None, **parts: object) -> Rounds:
    """Rounds, with one list of damaged keys for all that they do."""
    damage = sender.damage if sender is not None else Damage(clock)
    return Rounds(store, clock, Relaying(store, clock, BANDS, damage), damage, sender, **parts)


def ussd(text: str = "", *, id: str = "m1", number: str = ANN, at: datetime = NOW, **parts: object) -> Message:  # noqa: A002
    """A USSD message."""
    kind = parts.get("kind", EventKind.ANSWER)
    return Message("ussd", id, number, kind, text, "ussd:s1", at, f"{number}{kind}{text}".encode())


def sms(text: str, *, id: str = "m1", number: str = ANN, at: datetime = NOW) -> Message:  # noqa: A002
    """An SMS."""
    return Message("sms", id, number, EventKind.SMS, text, "sms", at, f"{number} {text}".encode())


def grower_id(number: str = ANN) -> str:
    """Id of the grower of a number."""
    return IDS.number(number)


def counting(step: Step) -> tuple[Step, Callable[[], int]]:
    """A step, and how often it was taken."""
    taken: list[Event] = []

    def counted(session: Session | None, known: Grower, event: Event, now: datetime) -> Outcome:
        taken.append(event)
        return step(session, known, event, now)

    return counted, lambda: len(taken)


def stored(store: Store, number: str = ANN) -> Stored:
    """What is kept of a grower."""
    return from_bytes(store.value(grower_id(number))[1])


def waiting(store: Store, number: str = ANN, after: timedelta = timedelta(0)) -> list[str]:
    """Texts that are due for a grower, in their order."""
    claimed = store.claim(bucket_of(grower_id(number)), unix_ms(NOW + after) + 1000, 1, 100)
    return [msgspec.json.decode(message.body, type=Parcel).text for message in claimed]


def told(
    store: Store,
    *effects: Effect,
    number: str = ANN,
    id: str = "m0",  # noqa: A002
    clock: StandingClock | None = None,
) -> None:
    """A message with these effects."""
    at = (clock or StandingClock()).now()
    inbound(store, says("Noted.", *effects, to=session()), clock).take(ussd("1", id=id, number=number, at=at))
