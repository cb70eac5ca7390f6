"""Names under which growers and messages are kept: keyed hashes, so that no key or log holds a phone number."""

from __future__ import annotations

import hmac
from dataclasses import dataclass, field
from datetime import datetime

from advisor.store.keys import grower_id, keyed, message_hash, outgoing_id

#: A code is typed from an SMS or said aloud; guessing is limited by tries.
CODE_DIGITS = 6


@dataclass(frozen=True, slots=True)
class Ids:
    """Derives every id from the secret of one installation.

    Args:
        secret: the id secret. Change it and every grower is a stranger, so it is set once for life.
    """

    secret: bytes = field(repr=False)

    def number(self, number: str) -> str:
        """Hash of an E.164 number; its first two digits are its bucket.

        >>> len(Ids(b"secret").number("+99900112233"))
        16
        """
        return grower_id(self.secret, number)

    def message(self, number: str, message_id: str) -> str:
        """Hash of a message id.

        The number is part of it: ids are remembered beside the grower, so one id from two numbers is two
        messages, whichever buckets those two fall into.
        """
        return message_hash(self.secret, f"{number} {message_id}")

    def digest(self, body: bytes) -> str:
        """Digest of a message's canonical body. It is keyed because a body is easy to guess."""
        return keyed(self.secret, b"body\0" + body)[:32]

    def ending(self, digits: str) -> int:
        """A whole number for the last digits of a number, below 2^32.

        >>> 0 <= Ids(b"secret").ending("2233") < 2**32
        True
        """
        return int.from_bytes(hmac.digest(self.secret, b"ending\0" + digits.encode(), "sha256")[:4])

    def code(self, grower: str, issued: datetime) -> str:
        """The six digits with which an agent may move a grower's record, the same for a whole day (UTC).

        >>> len(Ids(b"secret").code("07aa112233445566", datetime(2027, 3, 1)))
        6
        """
        told = hmac.digest(self.secret, f"code\0{grower}\0{issued:%Y%m%d}".encode(), "sha256")
        return f"{int.from_bytes(told[:8]) % 10**CODE_DIGITS:0{CODE_DIGITS}d}"

    def outgoing(self, grower: str, cause: tuple[str, str], index: int) -> str:
        """Id of the index-th message that an inbound message causes; the same again for a repeat.

        Args:
            grower: id of the grower, whose bucket stands in front.
            cause: hash of the inbound message id, and digest of its body.
            index: from 0.

        >>> Ids(b"secret").outgoing("07aa112233445566", ("55ff", "9c2e"), 0)[:4]
        'b07-'
        """
        return outgoing_id(grower, *cause, str(index))
