"""The bodies of the plain HTTP dialect, as types that a decoder checks and that the OpenAPI file is made from."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from advisor.dialogue.talk import EventKind
from advisor.service.changing import Message

#: E.164 as ECMA 262 and Python both read it. In Python ``$`` would also match before a final newline, and
#: ``\Z`` is not ECMA; the look-ahead closes that gap in both.
E164_PATTERN = r"^\+[1-9][0-9]{6,14}$(?!\n)"

Id = Annotated[str, Meta(min_length=1, max_length=128, description="Idempotency key of the sender.")]
Number = Annotated[str, Meta(pattern=E164_PATTERN, description="E.164 number of the grower.")]
Code = Annotated[str, Meta(min_length=1, max_length=64, description="Number or code of the service.")]
At = Annotated[datetime, Meta(tz=True, description="When the gateway took it, RFC 3339 with an offset.")]


#: What to give in each field, for whoever gave something else.
SHAPES = {
    "id": "give a text of 1 to 128 characters",
    "session": "give a text of 1 to 128 characters",
    "from": "give + and country code, like +99900112233",
    "to": "give the number or code of the service, 1 to 64 characters",
    "event": "give begin, answer or cancel",
    "input": "give what was typed on this screen as a text, empty where nothing was",
    "text": "give the message as a text",
    "status": "give delivered, failed or expired",
    "passing": "give true or false",
    "round": "give the name of a round of the program, like seed_test",
    "numbers": "give 1 to 20 numbers with + and country code, like +99900112233",
    "at": "give a time with an offset, like 2027-03-01T08:00:00+03:00",
}


class Inbound(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What every inbound message holds."""


class UssdMessage(Inbound, frozen=True, rename={"sender": "from"}):
    """What happened on a USSD session."""

    id: Id
    session: Annotated[str, Meta(min_length=1, max_length=128, description="The gateway's USSD session.")]
    sender: Number
    to: Code
    event: Literal["begin", "answer", "cancel"]
    input: Annotated[str, Meta(description="Typed on this screen only; on begin it may hold dialled digits.")]
    at: At

    def message(self) -> Message:
        """The message as the service takes it."""
        kind = EventKind(self.event)
        place = f"ussd:{self.session}"
        return Message("ussd", self.id, self.sender, kind, self.input, place, self.at, canonical(self))


class SmsMessage(Inbound, frozen=True, rename={"sender": "from"}):
    """An SMS from a grower."""

    id: Id
    sender: Number
    to: Code
    text: str
    at: At

    def message(self) -> Message:
        """The message as the service takes it."""
        return Message("sms", self.id, self.sender, EventKind.SMS, self.text, "sms", self.at, canonical(self))


class Receipt(Inbound, frozen=True):
    """What became of an outgoing message."""

    id: Annotated[str, Meta(min_length=1, max_length=128, description="Id of the outgoing message.")]
    status: Literal["delivered", "failed", "expired"]
    at: At


class ClockMove(Inbound, frozen=True):
    """Where the clock of a demonstration is moved to; passing, the round on trial says what it has in between."""

    at: At
    passing: bool = False


class RoundTried(Inbound, frozen=True):
    """A round that a demonstration is to try now, in the place of the one before."""

    round: Annotated[str, Meta(pattern=r"^[a-z_]{1,64}$(?!\n)", description="Name of a round of the program.")]
    numbers: Annotated[list[Number], Meta(min_length=1, max_length=20, description="The phones that it is for.")]


class UssdReply(msgspec.Struct, frozen=True):
    """What the phone shows, and whether an answer is awaited."""

    text: str
    open: bool


class SmsTaken(msgspec.Struct, frozen=True):
    """The id of the SMS that was taken; the reply leaves through the outbox."""

    id: str


class Health(msgspec.Struct, frozen=True):
    """Whether the service lives, and whether it can take messages now."""

    live: bool
    ready: bool
    store: Annotated[str, Meta(description="One line about the store.")]
    damaged: Annotated[
        tuple[str, ...],
        Meta(description="Keys of the store that hold what it never wrote, met in the last ten minutes."),
    ]
    demo: bool


class Problem(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """An RFC 9457 problem document; ``reason`` names the fault for programs, ``field`` the field at fault."""

    type: str
    title: str
    status: int
    detail: str
    reason: str
    field: str | msgspec.UnsetType = msgspec.UNSET


def canonical(message: Inbound) -> bytes:
    """One spelling of a message, whatever the spacing, order or time zone of its body.

    Raises:
        OverflowError: its moment does not exist in UTC, at either end of the calendar.

    >>> first = b'{"id":"1","status":"failed","at":"2027-03-01T10:00:00+03:00"}'
    >>> other = b'{ "at":"2027-03-01T07:00:00Z", "status":"failed", "id":"1" }'
    >>> canonical(msgspec.json.decode(first, type=Receipt)) == canonical(msgspec.json.decode(other, type=Receipt))
    True
    """
    fields = msgspec.to_builtins(message, builtin_types=(datetime,))
    fields["at"] = fields["at"].astimezone(UTC)
    return type(message).__name__.encode() + msgspec.json.encode(fields, order="sorted")
