"""What lies in the outbox, and what the gateway is given of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from advisor.store.api import Out
from advisor.wording.segments import alphabet_and_segments

#: Answers to what somebody has just typed leave before all else.
ANSWER_LANE = 0


class Parcel(msgspec.Struct, frozen=True, rename={"number": "to"}):
    """An outgoing message as it lies in the outbox.

    Args:
        number: E.164 number it is for.
        text: finished text.
    """

    number: str
    text: str


def beginning_of(number: str) -> bytes:
    """What each parcel to a number begins with, as it lies in the outbox.

    >>> msgspec.json.encode(Parcel("+99900112233", "Buy 18 kg")).startswith(beginning_of("+99900112233"))
    True
    """
    return msgspec.json.encode(Parcel(number, "")).removesuffix(b'"}')


def answer(
    oids: Sequence[str], texts: Sequence[str], number: str, *, to: str, made_ms: int, life_ms: int
) -> tuple[Out, ...]:
    """The messages of one answer, for the outbox.

    They are one millisecond apart, so that they come in their order; none leaves while the one before waits.

    Args:
        oids: an id for each.
        texts: the finished texts, in order.
        number: E.164 number they are for.
        to: hash of the number, whose stop holds them back; empty for an answer that no stop holds.
        made_ms: when they were made, Unix milliseconds.
        life_ms: for how long they are of use.
    """
    return tuple(
        Out(
            oid=oid,
            lane=ANSWER_LANE,
            not_before_ms=made_ms + index,
            expires_ms=made_ms + life_ms,
            body=msgspec.json.encode(Parcel(number, text)),
            to=to,
            after=before,
        )
        for index, (oid, before, text) in enumerate(zip(oids, ["", *oids], texts, strict=False))
    )


class Delivery(msgspec.Struct, frozen=True, kw_only=True, rename={"sender": "from", "number": "to"}):
    """What the service posts to the gateway's address for each outgoing SMS."""

    id: Annotated[str, Meta(description="Derived, so that a resend carries the same id.")]
    sender: Annotated[str, Meta(description="Number or code that the message comes from.")]
    number: Annotated[str, Meta(description="E.164 number it is for.")]
    text: Annotated[str, Meta(description="Finished text.")]
    alphabet: Literal["gsm7", "ucs2"]
    segments: Annotated[int, Meta(ge=1, description="SMS segments that the text takes.")]


def delivery_of(oid: str, parcel: Parcel, sender: str) -> Delivery:
    """The delivery of a parcel.

    >>> delivery_of("b07-1", Parcel("+99900112233", "Buy 18 kg"), "+9990000").segments
    1
    """
    alphabet, many = alphabet_and_segments(parcel.text)
    return Delivery(
        id=oid,
        sender=sender,
        number=parcel.number,
        text=parcel.text,
        alphabet=alphabet.value,
        segments=many,
    )
