"""Names of the keys. Each begins with its bucket as the cluster's hash tag, ``{b07}:``, so that all that one
message changes lies in one slot. No key carries a phone number, a name or a message id: only keyed hashes.

``m:``, ``o:``, ``seen:``, ``t:`` and ``x:`` end by themselves; all else stays until something takes it away.

| key | type | holds |
| --- | --- | --- |
| ``{b07}:g:<grower>`` | string | 16-digit version, then the grower's value |
| ``{b07}:n:<number hash>`` | string | id of the grower a number points to, when it is not its own hash |
| ``{b07}:m:<message hash>`` | string | digest and reply of a message answered before |
| ``{b07}:out:<lane>``, ``{b07}:o:<oid>`` | zset, string | outbox: when to hand over; state, tries, body |
| ``{b07}:relay``, ``{b07}:r:<effect>`` | zset, string | changes that leave for other buckets |
| ``{b07}:seen:<effect>`` | string | mark of a relay that was applied here |
| ``{b07}:lapse`` | zset | growers with an unconsented session, score when it must be gone |
| ``{b07}:idle`` | zset | all other growers with a value, score when it is too old to be kept |
| ``{b07}:t:<grower>`` | zset | what else was written for a grower and ends by itself, score when: see `traces` |
| ``{b07}:moved`` | set | numbers of the bucket that point to a grower |
| ``{b07}:ends`` | zset | growers with a number, score a keyed hash of its last digits; ``-`` once all are there |
| ``{b07}:l:asked`` | zset | growers who wait for an answer of the agent, score since when |
| ``{b07}:v:<village>`` | hash | this bucket's part of a village's figures |
| ``{b07}:h:<grower>`` | stream | history for the console |
| ``{b07}:stop`` | set | hashes of numbers that want no more messages |
| ``{b07}:gone`` | set | of them and of growers, those erased or without consent now: no restore brings them back |
| ``{b07}:pause`` | hash | what each round may do, in all buckets: running, paused, stopped; one not there runs |
| ``{b07}:day:<date>`` | hash | growers, and how many messages of rounds each got on a day of the programme |
| ``{b07}:aside`` | zset | outgoing messages that were given up or may have arrived, score since when |
| ``{b07}:x:<message hash>``, ``{b07}:parked`` | string, zset | failures of a message, the operator's list |
| ``{b07}:due:<round>`` | zset | growers with a next step in a round, score when to look |
| ``{b07}:round:<round>`` | hash | how far planning is (``plan``), and this bucket's part of the round's figures |
| ``{meta}:rounds``, ``{meta}:round:<round>`` | set, hash | rounds; state, start and text of each |
| ``{meta}:store`` | hash | what the store was made with |
| ``{meta}:rate`` | hash | how many messages may leave at once, and until when none may |
"""

from __future__ import annotations

import hashlib
import hmac
from functools import cache, lru_cache

from advisor.store.names import BUCKETS, bucket_of, bucket_of_out, checked_name

STORE = "{meta}:store"
RATE = "{meta}:rate"
ROUNDS = "{meta}:rounds"
PROBE = "probe"

_SHORT = 16
_TAGS = tuple(f"{{b{bucket:02x}}}" for bucket in range(BUCKETS))


@lru_cache(maxsize=4096)
def grower_id(secret: bytes, number: str) -> str:
    """Hash of a phone number; the id of the grower who first wrote from it.

    Args:
        secret: the service's id secret; another secret makes everybody a stranger.
        number: E.164 number, the same spelling every time.

    Returns:
        The first 16 hexadecimal digits of the HMAC-SHA256.

    >>> grower_id(b"demo", "+999001000001") == grower_id(b"demo", "+999001000001")
    True
    >>> len(grower_id(b"demo", "+999001000001"))
    16
    """
    return _keyed(secret, number.encode())


def message_hash(secret: bytes, message_id: str) -> str:
    """Hash of a gateway's message id, which may itself carry a phone number.

    Args:
        secret: the service's id secret.
        message_id: id as the gateway gave it.

    >>> message_hash(b"demo", "a-1") != grower_id(b"demo", "a-1")
    True
    """
    return _keyed(secret, b"message\0" + message_id.encode())


def secret_mark(secret: bytes) -> str:
    """A mark by which a store knows its id secret again without keeping it.

    >>> secret_mark(b"demo") == secret_mark(b"other")
    False
    """
    return _keyed(secret, b"store\0")


def keyed(secret: bytes, text: bytes) -> str:
    """HMAC-SHA256 of a text in hexadecimal digits.

    >>> keyed(b"key", b"text") == hmac.digest(b"key", b"text", "sha256").hex()
    True
    """
    begun = _begun(secret).copy()
    begun.update(text)
    return begun.hexdigest()


@lru_cache(maxsize=4)
def _begun(secret: bytes) -> hmac.HMAC:
    """With the secret already in it: a copy goes on from there in half the time."""
    return hmac.new(secret, digestmod="sha256")


def _keyed(secret: bytes, text: bytes) -> str:
    return keyed(secret, text)[:_SHORT]


def outgoing_id(grower: str, *parts: str) -> str:
    """Id of an outgoing message: the grower's bucket, then a hash of what it is.

    Args:
        grower: id of the grower.
        parts: what makes this message this one: the inbound message or the round, the name, the page.

    >>> outgoing_id("0f3a9c5500112233", "m1", "buy_list.list", "0")[:4]
    'b0f-'
    """
    text = "\0".join((grower, *parts))
    return f"b{bucket_of(grower):02x}-{hashlib.sha256(text.encode()).hexdigest()[:24]}"


def in_bucket(bucket: int, *parts: str) -> str:
    """A key of a bucket.

    Raises:
        ValueError: there is no such bucket.

    >>> in_bucket(7, "out", "1")
    '{b07}:out:1'
    """
    if not 0 <= bucket < BUCKETS:
        raise ValueError(f"bucket is {bucket}, allowed is 0 to {BUCKETS - 1}")
    return ":".join((_TAGS[bucket], *parts))


def _tag(grower: str) -> str:
    return _TAGS[bucket_of(grower)]


def of_grower(grower: str) -> str:
    return f"{_tag(grower)}:g:{grower}"


def of_number(number_hash: str) -> str:
    return f"{_tag(number_hash)}:n:{number_hash}"


def of_message(grower: str, message: str) -> str:
    return f"{_tag(grower)}:m:{checked_name('message', message)}"


def of_seen(grower: str, effect: str) -> str:
    return in_bucket(bucket_of(grower), "seen", checked_name("effect", effect))


def of_history(grower: str) -> str:
    return f"{_tag(grower)}:h:{grower}"


def of_stumbles(grower: str, message: str) -> str:
    return in_bucket(bucket_of(grower), "x", checked_name("message", message))


def of_out(oid: str) -> str:
    return in_bucket(bucket_of_out(oid), "o", oid)


@cache
def of_lane(bucket: int, lane: int) -> str:
    return in_bucket(bucket, "out", str(lane))


@cache
def of_relays(bucket: int) -> str:
    return in_bucket(bucket, "relay")


def of_relay(bucket: int, effect: str) -> str:
    return in_bucket(bucket, "r", checked_name("effect", effect))


@cache
def of_lapses(bucket: int) -> str:
    return in_bucket(bucket, "lapse")


@cache
def of_idle(bucket: int) -> str:
    return in_bucket(bucket, "idle")


def of_traces(grower: str) -> str:
    return f"{_tag(grower)}:t:{grower}"


@cache
def of_moved(bucket: int) -> str:
    return in_bucket(bucket, "moved")


def of_village(bucket: int, village: str) -> str:
    return in_bucket(bucket, "v", checked_name("village", village))


@cache
def of_stops(bucket: int) -> str:
    return in_bucket(bucket, "stop")


@cache
def of_gone(bucket: int) -> str:
    return in_bucket(bucket, "gone")


@cache
def of_endings(bucket: int) -> str:
    return in_bucket(bucket, "ends")


@cache
def of_asked(bucket: int) -> str:
    return in_bucket(bucket, "l", "asked")


@cache
def of_parked(bucket: int) -> str:
    return in_bucket(bucket, "parked")


@cache
def of_pauses(bucket: int) -> str:
    return in_bucket(bucket, "pause")


def of_day(bucket: int, day: str) -> str:
    return in_bucket(bucket, "day", checked_name("day", day))


@cache
def of_aside(bucket: int) -> str:
    return in_bucket(bucket, "aside")


def of_probe(bucket: int) -> str:
    return in_bucket(bucket, PROBE)


def of_round(round_key: str) -> str:
    return f"{{meta}}:round:{checked_name('round', round_key)}"


@cache
def of_due(bucket: int, round_key: str) -> str:
    return in_bucket(bucket, "due", checked_name("round", round_key))


@cache
def of_round_in(bucket: int, round_key: str) -> str:
    return in_bucket(bucket, "round", checked_name("round", round_key))
