"""Whether the store can be written to now, and which of its server's settings weaken its promises."""

from __future__ import annotations

import redis

from advisor.store import keys
from advisor.store.api import READY, StoreMismatch, StoreUnavailable
from advisor.store.link import Link
from advisor.store.script import Asks

#: Setting, the values under which nothing acknowledged is lost when a process is killed, what to set.
SETTINGS = (
    ("appendonly", ("yes",), "yes"),
    ("appendfsync", ("always", "everysec"), "always"),
    ("maxmemory-policy", ("noeviction",), "noeviction"),
)

#: One bucket in eight is written to: enough to meet every server of a cluster that shares its slots evenly.
_PROBED = range(0, 256, 8)
_PROBE_MS = "60000"


def readiness(link: Link) -> tuple[bool, str]:
    """Writes a short-lived mark, then looks at the settings.

    Returns:
        Whether writes go through, and one line that names what weakens the promises or cannot be known.
    """
    try:
        link.many(("SET", keys.of_probe(bucket), "1", "PX", _PROBE_MS) for bucket in _PROBED)
        servers = link.servers()
    except (StoreUnavailable, StoreMismatch) as error:
        return False, str(error)
    remarks = sorted({remark for server in servers for remark in _remarks(server)})
    return True, "; ".join(remarks) or READY


def _remarks(server: Asks) -> list[str]:
    remarks = []
    for name, good, best in SETTINGS:
        found = _setting(server, name)
        if found is None:
            remarks.append(f"{name} unknown: the server does not say, it should be {best}")
        elif found not in good:
            remarks.append(f"{name} is {found}: set it to {best}, or what was acknowledged can be lost")
    return remarks


def _setting(server: Asks, name: str) -> str | None:
    try:
        answer = server.execute_command("CONFIG GET", name)
    except redis.RedisError:
        return None
    found = next((value for key, value in answer.items() if _text(key) == name), None)
    return None if found is None else _text(found)


def _text(value: bytes | str) -> str:
    return value.decode() if isinstance(value, bytes) else value
