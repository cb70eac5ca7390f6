"""The address of a store, looked at before anything is spoken to; a password in it is never shown."""

from __future__ import annotations

import re
from urllib.parse import parse_qsl, urlencode, urlsplit

import redis

IN_PROCESS = ("memory:", "embedded:")
SERVERS = ("redis://", "rediss://", "unix://")
ADDRESSES = "memory:, embedded:, redis://host:port/0, rediss://…, unix:///path, with ?cluster=1 for a cluster"

_DATABASE = re.compile(r"(?:/[0-9]{0,9})?")


def address_fault(address: str) -> str:
    """What is wrong with an address, empty when nothing is.

    Args:
        address: as for `advisor.store.opening.open_store`.

    >>> address_fault("redis://127.0.0.1:6379/0")
    ''
    >>> address_fault("redis://127.0.0.1:99999/0")
    'its host or port cannot be read; ports go from 1 to 65535'
    """
    if address in IN_PROCESS:
        return ""
    if not address.startswith(SERVERS):
        return f"it begins with none of {', '.join((*IN_PROCESS, *SERVERS))}"
    return _place_fault(address) or _options_fault(address)


def without_cluster(address: str) -> tuple[str, bool]:
    """The address as the client library reads it, and whether it is that of a cluster.

    >>> without_cluster("redis://127.0.0.1:6379/0?cluster=1")
    ('redis://127.0.0.1:6379/0', True)
    """
    plain, _, options = address.partition("?")
    query = dict(parse_qsl(options))
    cluster = query.pop("cluster", "0") not in ("0", "")
    return plain + (f"?{urlencode(query)}" if query else ""), cluster


def _place_fault(address: str) -> str:
    try:
        parts = urlsplit(address)
        port = parts.port
    except ValueError:
        port = 0
    if port == 0:
        return "its host or port cannot be read; ports go from 1 to 65535"
    if parts.scheme == "unix":
        return "" if parts.path else "it names no socket"
    if not parts.hostname:
        return "it names no host"
    # the client library would take a name for database 0
    return "" if _DATABASE.fullmatch(parts.path) else "its database is no number"


def _options_fault(address: str) -> str:
    """The client library finds an unknown option only when it makes its first connection, so one is made here;
    making it does not connect."""
    plain, _ = without_cluster(address)
    try:
        redis.ConnectionPool.from_url(plain).make_connection()
    except (TypeError, ValueError, redis.RedisError):
        return "what stands behind its question mark is no option of a connection"
    return ""
