"""What may stand in a key, and which bucket a name belongs to.

A name can neither leave its bucket's hash tag nor carry a number in international form. A hash has 16 digits
or more, one more than the longest phone number, so that a bare number is refused where a hash is due.
"""

from __future__ import annotations

import re
from functools import lru_cache

#: Growers, outbox and figures are spread over this many buckets; fixed when a store is made.
BUCKETS = 256

_NAME = re.compile(r"[0-9A-Za-z._-]{1,64}")
_HASH = re.compile(r"[0-9a-f]{16,64}")
_OID = re.compile(r"b[0-9a-f]{2}-[0-9A-Za-z._-]{1,64}")


def checked_name(what: str, value: str) -> str:
    """A name that may stand in a key: a village, an effect, a message hash.

    Raises:
        ValueError: it is not 1 to 64 letters, digits, dots, dashes or underscores.

    >>> checked_name("village", "dovi")
    'dovi'
    """
    return _checked(_NAME, what, value, "1 to 64 letters, digits, dots, dashes or underscores")


def checked_hash(what: str, value: str) -> str:
    """The hash of a number.

    Raises:
        ValueError: it is not 16 to 64 hexadecimal digits.

    >>> checked_hash("to", "0f3a9c5500112233")
    '0f3a9c5500112233'
    """
    return _checked(_HASH, what, value, "16 to 64 hexadecimal digits, as grower_id gives them")


def checked_oid(value: str) -> str:
    """An outgoing id.

    Raises:
        ValueError: it is not ``b``, two hexadecimal digits of the bucket, a dash and a name.

    >>> checked_oid("b0f-3a9c5500")
    'b0f-3a9c5500'
    """
    return _checked(_OID, "oid", value, "b, two hexadecimal digits of the bucket, a dash and a name")


@lru_cache(maxsize=4096)
def bucket_of(grower: str) -> int:
    """The bucket of a grower or number hash: its first byte.

    Raises:
        ValueError: it is not 16 to 64 hexadecimal digits.

    >>> bucket_of("0f3a9c5500112233")
    15
    """
    return int(checked_hash("grower or number hash", grower)[:2], 16)


@lru_cache(maxsize=1024)
def bucket_of_out(oid: str) -> int:
    """The bucket that stands in front of an outgoing id.

    Raises:
        ValueError: it does not begin with a bucket.

    >>> bucket_of_out("b0f-3a9c5500")
    15
    """
    return int(checked_oid(oid)[1:3], 16)


def _checked(pattern: re.Pattern[str], what: str, value: str, shape: str) -> str:
    """The value itself is not shown in the error: it may be what must not be shown."""
    if pattern.fullmatch(value) is None:
        raise ValueError(f"{what} is not {shape}: hash or derive it, never pass a number or a name")
    return value
