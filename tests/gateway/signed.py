"""Signing as a gateway does, by hand: what the tests sign with must not be what is tested."""

from __future__ import annotations

import base64
import hashlib
import hmac

#: The key of the scheme's own tests.
KEY = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
OTHER_KEY = "whsec_" + base64.b64encode(bytes(range(32))).decode()


def signature(key: str, message_id: str, seconds: str, body: bytes) -> str:
    """``v1,…`` of a body."""
    secret = base64.b64decode(key.removeprefix("whsec_"))
    signed = b".".join((message_id.encode(), seconds.encode(), body))
    return "v1," + base64.b64encode(hmac.new(secret, signed, hashlib.sha256).digest()).decode()


def headers(body: bytes, at_s: float, *keys: str, message_id: str = "msg_1") -> dict[str, str]:
    """The three headers of a body, signed by each key."""
    seconds = str(int(at_s))
    return {
        "webhook-id": message_id,
        "webhook-timestamp": seconds,
        "webhook-signature": " ".join(signature(key, message_id, seconds, body) for key in keys or (KEY,)),
    }
