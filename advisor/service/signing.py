"""Signatures of messages between the gateway and the service, by the open Standard Webhooks scheme.

Source:
    Standard Webhooks 1.0.0, "Signature scheme" and "Webhook headers": HMAC-SHA256 over ``id.timestamp.body``, in
    Base64 behind ``v1,``; secrets are 24 to 64 bytes in Base64 behind ``whsec_``.
"""

from __future__ import annotations

import base64
import binascii
import hmac
import re
from dataclasses import dataclass, field
from datetime import datetime, timedelta

PREFIX = "whsec_"
FEWEST_BYTES, MOST_BYTES = 24, 64
#: An old and a new key are two; a few more for a gateway that changes them by place.
MOST_KEYS = 8
#: So far a request's clock may be from ours, either way, as in the scheme's own libraries.
TOLERANCE = timedelta(minutes=5)

#: No full stop, which parts what is signed, and no comma, by which servers join a header that came twice.
_ID = re.compile(r"[!-+\-/-~]{1,256}", re.ASCII)
_SECONDS = re.compile(r"[0-9]{1,12}", re.ASCII)
#: A comma parts version and signature, so a list that was joined from two headers is none.
_SIGNATURES = re.compile(r"[A-Za-z0-9]+,[A-Za-z0-9+/=]+(?: [A-Za-z0-9]+,[A-Za-z0-9+/=]+)*", re.ASCII)


class Unsigned(Exception):  # noqa: N818 - named for what is wrong
    """A request does not carry a signature that holds.

    Args:
        reason: short name for programs: ``unsigned``, ``bad_signature``, ``stale`` or ``future``.
        header: the header at fault.
        detail: what is wrong and what to do; nothing of keys or of what would be right.
    """

    def __init__(self, reason: str, header: str, detail: str) -> None:
        super().__init__(detail)
        self.reason = reason
        self.header = header
        self.detail = detail


class BadKey(ValueError):  # noqa: N818 - named for what is wrong
    """What was given as a key is none. It says what is wrong and never what was given."""


@dataclass(frozen=True, slots=True)
class Given:
    """What a request says of its signature, None for each header that it does not have.

    Args:
        message_id: ``webhook-id``.
        seconds: ``webhook-timestamp``.
        signatures: ``webhook-signature``.
    """

    message_id: str | None
    seconds: str | None
    signatures: str | None


@dataclass(frozen=True, slots=True)
class Keys:
    """Keys of one direction, none for no key: what is signed carries a signature by each, and any of them holds.

    So a key is changed without a gap: add the new one on the side that checks, then on the side that signs, then
    take the old one away in the same order.

    Args:
        secrets: the keys; never shown.
    """

    secrets: tuple[bytes, ...] = field(default=(), repr=False)

    @classmethod
    def read(cls, text: str) -> Keys:
        """Keys as they are written, parted by blanks or new lines.

        Raises:
            BadKey: one of them is no key of the scheme, or there are more than eight.

        >>> Keys.read("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw")
        Keys()
        >>> Keys.read("hush")
        Traceback (most recent call last):
        ...
        advisor.service.signing.BadKey: key 1 does not begin with whsec_
        """
        words = text.split()
        if len(words) > MOST_KEYS:
            raise BadKey(f"there are {len(words)} keys, allowed are {MOST_KEYS}")
        secrets = tuple(_secret(word, place) for place, word in enumerate(words, 1))
        if len(set(secrets)) < len(secrets):
            raise BadKey("a key is there twice")
        return cls(secrets)

    def __bool__(self) -> bool:
        return bool(self.secrets)

    def headers(self, message_id: str, at: datetime, body: bytes) -> dict[str, str]:
        """The headers that sign one attempt to send a message; empty without keys.

        Args:
            message_id: id of the message, the same at each attempt, without a full stop.
            at: the moment of the attempt, with its zone.
            body: what is sent, byte for byte.

        >>> key = Keys.read("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw")
        >>> at = datetime.fromisoformat("2021-02-25T15:02:10+00:00")
        >>> key.headers("msg_p5jXN8AQM9LWM0D4loKWxJek", at, b'{"test": 2432232314}')["webhook-signature"]
        'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE='
        """
        if not self.secrets:
            return {}
        if not _ID.fullmatch(message_id):
            raise ValueError(
                "an id that is signed has 1 to 256 printable ASCII letters, no full stop and no comma"
            )
        seconds = str(int(at.timestamp()))
        signatures = _signatures(self.secrets, message_id, seconds, body)
        return {
            "webhook-id": message_id,
            "webhook-timestamp": seconds,
            "webhook-signature": " ".join(f"v1,{signature.decode()}" for signature in signatures),
        }

    def check(self, given: Given, body: bytes, now: datetime) -> None:
        """Refuses what no key has signed now. Without keys it refuses everything.

        A repeat within the tolerance holds: nothing tells it from the retry of a gateway that lost the answer
        within the same second, and the id inside the body makes it harmless, which is what the scheme has ids for
        ("even if sent multiple times maliciously"). What it gets is the first answer, and nothing is changed.

        Args:
            given: what the request says of its signature.
            body: what came, byte for byte.
            now: the moment, with its zone.

        Raises:
            Unsigned: a header is missing or malformed, the time is out of the window, or no signature holds.
        """
        message_id, seconds, signatures = given.message_id, given.seconds, given.signatures
        if not message_id or not seconds or not signatures:
            raise _unsigned()
        if not _ID.fullmatch(message_id):
            raise _bad("webhook-id", "give 1 to 256 printable ASCII letters, no full stop and no comma")
        if not _SECONDS.fullmatch(seconds):
            raise _bad("webhook-timestamp", "give whole Unix seconds")
        if not _SIGNATURES.fullmatch(signatures):
            raise _bad("webhook-signature", "give v1, and Base64, more of them parted by one blank")
        ahead_s = int(seconds) - now.timestamp()
        if abs(ahead_s) > TOLERANCE.total_seconds():
            raise _out_of_time(ahead_s)
        candidates = [word[3:].encode() for word in signatures.split(" ") if word.startswith("v1,")]
        expected = _signatures(self.secrets, message_id, seconds, body)
        if not any(hmac.compare_digest(one, other) for one in expected for other in candidates):
            raise _bad("webhook-signature", "none holds: sign id.timestamp.body as it is sent, with a key of ours")


def _signatures(secrets: tuple[bytes, ...], message_id: str, seconds: str, body: bytes) -> list[bytes]:
    signed = f"{message_id}.{seconds}.".encode("ascii") + body
    return [base64.b64encode(hmac.digest(secret, signed, "sha256")) for secret in secrets]


def _secret(word: str, place: int) -> bytes:
    if not word.startswith(PREFIX):
        raise BadKey(f"key {place} does not begin with {PREFIX}")
    try:
        secret = base64.b64decode(word.removeprefix(PREFIX), validate=True)
    except (binascii.Error, ValueError):
        # without its cause, which may quote the key
        raise BadKey(f"key {place} is no Base64 behind {PREFIX}") from None
    if not FEWEST_BYTES <= len(secret) <= MOST_BYTES:
        raise BadKey(f"key {place} has {len(secret)} bytes, allowed are {FEWEST_BYTES} to {MOST_BYTES}")
    return secret


def _unsigned() -> Unsigned:
    detail = "not signed: send webhook-id, webhook-timestamp and webhook-signature of Standard Webhooks"
    return Unsigned("unsigned", "webhook-signature", detail)


def _bad(header: str, instead: str) -> Unsigned:
    return Unsigned("bad_signature", header, f"{header}: {instead}")


def _out_of_time(ahead_s: float) -> Unsigned:
    reason, where = ("future", "ahead") if ahead_s > 0 else ("stale", "ago")
    minutes = TOLERANCE // timedelta(minutes=1)
    detail = f"more than {minutes} minutes {where}: sign each attempt with its own time, and set the clocks right"
    return Unsigned(reason, "webhook-timestamp", f"webhook-timestamp: {detail}")
