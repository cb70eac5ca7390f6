"""Signatures by the open Standard Webhooks scheme, on the gateway's side: made for what it sends, checked for what
it gets.

The code is the simulator's own, so that a slip of the service's is not made twice.

Source:
    Standard Webhooks 1.0.0, "Signature scheme" and "Webhook headers".
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import os
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from simulator.errors import SimulatorError

#: Where the keys are; the service has them under the same names.
SENDING, TAKING = "SOWING_INBOUND_KEYS", "SOWING_OUTBOUND_KEYS"

_WINDOW_S = 300
_SCHEME = "whsec_"


class NoKey(SimulatorError):  # noqa: N818
    """Keys were named that cannot be used; what they are is not said."""

    def __init__(self, name: str, what: str) -> None:
        super().__init__(f"{name}: {what}: give keys that begin with {_SCHEME}, or leave it out")


class NotSigned(SimulatorError):  # noqa: N818
    """A message of the service's that is not signed as agreed."""


@dataclass(frozen=True, slots=True)
class Keys:
    """Keys of a gateway, none in either direction where nothing is signed.

    Args:
        sending: what it signs with, by all of them.
        taking: what the service signs with; one of them must hold.
    """

    sending: tuple[bytes, ...] = field(default=(), repr=False)
    taking: tuple[bytes, ...] = field(default=(), repr=False)

    def headers(self, method: str, path: str, body: bytes, now_s: float | None = None) -> dict[str, str]:
        """What signs one attempt to send a message; the message's id is the same at each of them.

        Args:
            method: with path and body, what the id derives from.
            path: see there.
            body: what is sent, byte for byte.
            now_s: Unix seconds, None for now.
        """
        if not self.sending:
            return {}
        name = "msg_" + hashlib.sha256(b" ".join((method.encode(), path.encode(), body))).hexdigest()[:24]
        moment = str(int(time.time() if now_s is None else now_s))
        made = [_made(key, name, moment, body) for key in self.sending]
        return {
            "Webhook-Id": name,
            "Webhook-Timestamp": moment,
            "Webhook-Signature": " ".join(f"v1,{one}" for one in made),
        }

    def check(self, given: Mapping[str, Sequence[str]], body: bytes, now_s: float | None = None) -> None:
        """Refuses what the service has not signed; takes anything where there is no key.

        Args:
            given: the values of each header, by its name in lower case.
            body: what came.
            now_s: Unix seconds, None for now.

        Raises:
            NotSigned: it says why.
        """
        if not self.taking:
            return
        found = [given.get(name, ()) for name in ("webhook-id", "webhook-timestamp", "webhook-signature")]
        if any(len(values) != 1 for values in found):
            raise NotSigned("the message needs webhook-id, webhook-timestamp and webhook-signature, each once")
        name, moment, signatures = (values[0] for values in found)
        if not (name.isascii() and "." not in name and moment.isascii() and moment.isdigit()):
            raise NotSigned("webhook-id or webhook-timestamp is not as the scheme has it")
        if abs(int(moment) - (time.time() if now_s is None else now_s)) > _WINDOW_S:
            raise NotSigned("webhook-timestamp is more than 5 minutes from now")
        right = [f"v1,{_made(key, name, moment, body)}".encode() for key in self.taking]
        heard = signatures.encode("utf-8", "replace").split(b" ")
        if not any(hmac.compare_digest(one, other) for one in right for other in heard):
            raise NotSigned("webhook-signature holds by none of the keys")


NO_KEYS = Keys()


def keys_in(environment: Mapping[str, str] | None = None) -> Keys:
    """The keys that the surroundings hold, or that lie in the files which ``…_FILE`` names.

    Args:
        environment: names and values, by default those of the process.

    Raises:
        NoKey: they cannot be used.

    >>> keys_in({"SOWING_INBOUND_KEYS": "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"})
    Keys()
    """
    found = os.environ if environment is None else environment
    return Keys(_read(found, SENDING), _read(found, TAKING))


def keys_for(service: str | None) -> Keys:
    """The keys for a service that runs; a demonstration that is started here takes and sends without.

    Args:
        service: its address, None for one that is started here.
    """
    return NO_KEYS if service is None else keys_in()


def _made(key: bytes, name: str, moment: str, body: bytes) -> str:
    signed = b".".join((name.encode(), moment.encode(), body))
    return base64.b64encode(hmac.new(key, signed, hashlib.sha256).digest()).decode()


def _read(environment: Mapping[str, str], name: str) -> tuple[bytes, ...]:
    text = environment.get(name)
    if text is None:
        file = environment.get(f"{name}_FILE", "")
        try:
            text = Path(file).read_text(encoding="utf-8") if file else ""
        except (OSError, UnicodeDecodeError):
            raise NoKey(f"{name}_FILE", "the file cannot be read") from None
    return tuple(_key(name, word) for word in text.split())


def _key(name: str, word: str) -> bytes:
    try:
        key = base64.b64decode(word.removeprefix(_SCHEME), validate=True)
    except ValueError:
        key = b""
    if not (word.startswith(_SCHEME) and key):
        raise NoKey(name, "a key cannot be read")
    return key
