"""What a decided step changes in the store: one value, written at once or not at all. Pure."""

from __future__ import annotations

from datetime import datetime, timedelta

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from advisor.dialogue.talk import (
    CODE_MARK,
    Agree,
    AskAgent,
    AskVisits,
    Begin,
    Drop,
    Effect,
    Erase,
    Event,
    EventKind,
    Forget,
    GiveCode,
    Keep,
    Outcome,
    PinTried,
    Send,
    Session,
    Start,
    Stop,
    TakeUp,
    Tell,
    Withdraw,
)
from advisor.records.grower import Grower
from advisor.records.several import begins, drops, takes_up
from advisor.service.clock import rfc3339, unix_ms
from advisor.service.endings import new_ending
from advisor.service.figures import figure_changes
from advisor.service.gauging import rain_id
from advisor.service.identity import Ids
from advisor.service.outgoing import answer
from advisor.service.relaying import gone_relays, telling, visits_wanted
from advisor.service.stored import Stored, to_bytes
from advisor.service.talking import Dialogues
from advisor.store.api import Change, Out, Reading, Relay

#: Before consent nothing but the open session exists, and that for so long.
UNCONSENTED_LIFE = timedelta(hours=1)
UNCONSENTED_LIFE_MS = UNCONSENTED_LIFE // timedelta(milliseconds=1)
#: A longest USSD line is so long; more than that is no answer to a screen, and the history is no letter box.
INPUT_KEPT_CHARACTERS = 182
#: An answer that could not be handed over for so long is of no use any more.
ANSWER_LIFE_MS = timedelta(hours=24) // timedelta(milliseconds=1)
# of what an effect is, is asked for every message: these are put together once
_STOPS, _STARTS, _FORGETS = (Stop, Erase), (Start, Agree), frozenset({Erase, Withdraw})


class Message(Struct, frozen=True):
    """One message that came in.

    Args:
        channel: ``ussd`` or ``sms``.
        id: the gateway's id of it.
        number: E.164 number of the sender.
        kind: what happened on the phone.
        text: what was typed.
        place: where it was typed, ``ussd:<session>`` or ``sms``.
        at: when the gateway took it, with a time zone.
        body: its canonical body, to tell a repeat from another message under the same id.
    """

    channel: str
    id: str
    number: str
    kind: EventKind
    text: str
    place: str
    at: datetime
    body: bytes

    @property
    def event(self) -> Event:
        """What the dialogue sees of it."""
        return Event(self.kind, self.text, self.place, self.id)


def record_after(
    record: Grower, effects: tuple[Effect, ...], number: str, now: datetime, at: datetime | None = None
) -> Grower:
    """The record after the effects of one step.

    Consent that is given in a step covers the facts of that step. Without consent no fact is kept; a stop is,
    as a mark without number or facts. Consent given later takes the mark away. Consent that is taken back leaves
    that mark alone in the record, an erase nothing; both put the number on the do-not-contact list.

    Args:
        record: the record before.
        effects: what the step decided, in order.
        number: E.164 number of the grower, kept from the moment of consent.
        now: the moment.
        at: when the message was sent, by default now; what was sent before a stop does not take it back.
    """
    if not effects:
        return record
    at = at or now
    if Erase in map(type, effects):
        return Grower()
    if Withdraw in map(type, effects):
        record = Grower(stopped=record.stopped)
    stopped = _stopped(record, effects, at)
    if Agree in map(type, effects):
        record = replace(record, number=record.number or number, agreed=record.agreed or now)
    for effect in effects:
        match effect:
            case Keep(name, value) if record.agreed is not None:
                record = record.knows(name, value, now)
            case Forget(names):
                record = record.forgets(names)
            case TakeUp(scope, place):
                record = takes_up(record, scope, place)
            case Begin(scope):
                record = begins(record, scope)
            case Drop(scope, place):
                record = drops(record, scope, place)
            case AskAgent(text) if record.agreed is not None:
                record = record.asks(text, now)
            case PinTried(right) if record.pin is not None:
                record = replace(record, pin=record.pin.tried(right=right, now=now))
            case GiveCode() if record.agreed is not None:
                record = record.with_code(now)
            case _:
                pass
    return record if stopped is None else replace(record, stopped=at if stopped else None)


def _stopped(record: Grower, effects: tuple[Effect, ...], at: datetime) -> bool | None:
    """Whether the effects stop messages or start them again, None where they do neither; the last one counts."""
    said = None
    for effect in effects:
        if isinstance(effect, _STOPS):
            said = True
        elif isinstance(effect, _STARTS) and (record.stopped is None or at >= record.stopped):
            said = False
    return said


def _listed(record: Grower, effects: tuple[Effect, ...], at: datetime) -> bool | None:
    """Whether the effects put the number on the do-not-contact list or take it off, None where they do neither.

    Whoever takes consent back stands there as well, so that no old list or backup brings them back into contact,
    and is answered all the same.
    """
    return True if Withdraw in map(type, effects) else _stopped(record, effects, at)


class Decided(Struct, frozen=True):
    """A message and what was decided on it.

    Args:
        message: what came in.
        hashed: hash of its id.
        outcome: what the step decided.
        now: the moment of the decision.
    """

    message: Message
    hashed: str
    outcome: Outcome
    now: datetime


def change_of(reading: Reading, before: Stored, decided: Decided, ids: Ids, dialogues: Dialogues) -> Change:
    """Everything that one message changes.

    Args:
        reading: what the store said of its sender.
        before: the stored value, decoded.
        decided: the message and what was decided on it.
        ids: derives the outgoing ids.
        dialogues: for the bands of the figures and the fingerprint in the history.
    """
    message, outcome, now = decided.message, decided.outcome, decided.now
    at_ms, digest = unix_ms(now), ids.digest(message.body)
    effects = outcome.effects
    record = record_after(before.record, effects, message.number, now, message.at)
    listed = _listed(before.record, effects, message.at) if effects else None
    after = Stored(record, _allowed(outcome.session, record, now))
    return Change(
        grower=reading.grower,
        version=reading.version,
        value=to_bytes(after),
        at_ms=at_ms,
        message=decided.hashed,
        digest=digest,
        reply=_remembered_reply(message, outcome),
        remember_ms=None if record.agreed is not None else UNCONSENTED_LIFE_MS,
        outs=_outs(reading.grower, record, decided, at_ms, digest, ids),
        counts=figure_changes(before.record, record, dialogues.bands),
        history=_history(after, decided, dialogues) if record.agreed else (),
        lapses_ms=_lapses_ms(after),
        idle_ms=unix_ms(now + dialogues.retention),
        asked_ms=asked_since_ms(before.record, record),
        ending=new_ending(before.record, record, ids),
        forgets=not _FORGETS.isdisjoint(map(type, effects)),
        relays=_all_relays(reading.grower, decided, ids, dialogues) if effects else (),
        # the effects say so, not the record: an unconsented record lapses, its mark with it, and the list stays
        stop=None if listed is None else (ids.number(message.number), listed),
    )


def asked_since_ms(before: Grower, after: Grower) -> int | None:
    """For the list of who waits for the agent: since when, 0 for not any more, None where nothing has changed."""
    if before.questions == after.questions:
        return None
    return unix_ms(after.questions[0].asked) if after.questions else 0


def reply_to(message: Message, outcome: Outcome) -> bytes:
    """The body of the answer to the gateway, as it is sent and remembered."""
    if message.channel == "sms":
        return msgspec.json.encode({"id": message.id})
    if message.kind is EventKind.CANCEL:
        return msgspec.json.encode({"text": "", "open": False})
    return msgspec.json.encode({"text": outcome.reply.text, "open": outcome.reply.open})


def _remembered_reply(message: Message, outcome: Outcome) -> bytes:
    """The reply, but for an SMS that erases: it holds the gateway's id, which may hold the number."""
    is_erased = message.channel == "sms" and Erase in map(type, outcome.effects)
    return b"" if is_erased else reply_to(message, outcome)


def _allowed(session: Session | None, record: Grower, now: datetime) -> Session | None:
    """The session, which without consent lives an hour at most."""
    if session is None or record.agreed is not None:
        return session
    return replace(session, until=min(session.until, now + UNCONSENTED_LIFE))


def _all_relays(grower: str, decided: Decided, ids: Ids, dialogues: Dialogues) -> tuple[Relay, ...]:
    return (*_relays(grower, decided, ids), *_tellings(grower, decided, ids, dialogues))


def _relays(grower: str, decided: Decided, ids: Ids) -> tuple[Relay, ...]:
    """What an erase does to a number of another bucket."""
    if Erase not in map(type, decided.outcome.effects):
        return ()
    message = decided.message
    return gone_relays(grower, (ids.number(message.number),), decided.hashed)


def _tellings(grower: str, decided: Decided, ids: Ids, dialogues: Dialogues) -> tuple[Relay, ...]:
    """What an agent records or asks for; the ids derive from the message, so that a repeat is the same effect."""
    agent = dialogues.agents.get(decided.message.number)
    if agent is None:
        return ()
    effects, at_ms = decided.outcome.effects, unix_ms(decided.now)
    tells = [effect for effect in effects if isinstance(effect, Tell)]
    asks = AskVisits in map(type, effects)
    lists = (Relay(f"visits-{decided.hashed}", grower, visits_wanted(agent.key, at_ms)),) if asks else ()
    return lists + tuple(
        Relay(
            f"tell-{decided.hashed}-{at}",
            tell.grower or rain_id(ids, _zone(tell, dialogues)),
            telling(tell, agent.key, at_ms),
        )
        for at, tell in enumerate(tells)
    )


def _zone(tell: Tell, dialogues: Dialogues) -> str:
    return dialogues.zone_of.get(str(dict(tell.facts).get("rain.village")), "")


def _lapses_ms(after: Stored) -> int | None:
    if after.record.agreed is not None or after.session is None:
        return None
    return unix_ms(after.session.until)


def _outs(grower: str, record: Grower, decided: Decided, made_ms: int, digest: str, ids: Ids) -> tuple[Out, ...]:
    message, outcome = decided.message, decided.outcome
    texts = [outcome.reply.text] if message.channel == "sms" and outcome.reply.text else []
    texts += [page for effect in outcome.effects if isinstance(effect, Send) for page in effect.pages]
    if record.code is not None:
        code = ids.code(grower, record.code.issued)
        given = [effect.text for effect in outcome.effects if isinstance(effect, GiveCode)]
        texts += [text.replace(CODE_MARK, code) for text in given]
    if not texts:
        return ()
    # the body is part of it, so that an id which is used again once it is forgotten has messages of its own
    cause = (decided.hashed, digest)
    life_ms = ANSWER_LIFE_MS if record.agreed is not None else UNCONSENTED_LIFE_MS
    # an answer to the stop itself, or to what a grower asks after it, is not held back by it; before consent
    # there is nothing but such answers, and the mark of a stop may have lapsed
    to = "" if record.stopped is not None or record.agreed is None else ids.number(message.number)
    oids = [ids.outgoing(grower, cause, index) for index in range(len(texts))]
    return answer(oids, texts, message.number, to=to, made_ms=made_ms, life_ms=life_ms)


def _history(after: Stored, decided: Decided, dialogues: Dialogues) -> tuple[tuple[str, str], ...]:
    spot = after.session.spots[-1] if after.session is not None and after.session.spots else None
    return (
        ("at", rfc3339(decided.now)),
        ("channel", decided.message.channel),
        ("event", decided.message.kind.value),
        ("input", decided.message.text[:INPUT_KEPT_CHARACTERS]),
        ("screen", f"{spot.flow}.{spot.screen}" if spot else ""),
        ("book", dialogues.fingerprint),
    )
