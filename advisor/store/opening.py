"""From an address to a store."""

from __future__ import annotations

from advisor.store.address import ADDRESSES, address_fault
from advisor.store.api import Store
from advisor.store.memory import DictStore
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore


def open_store(address: str, keeps: Keeps | None = None, secret_mark: str = "") -> Store:
    """A store, not yet spoken to; call its ``open`` next.

    Args:
        address: ``memory:`` a dictionary, ``embedded:`` a fake of Redis in this process, both keep nothing;
            ``redis://``, ``rediss://`` or ``unix://`` a server; ``?cluster=1`` behind it when it is one of a
            cluster.
        keeps: how long things are kept.
        secret_mark: mark of the id secret (`advisor.store.keys.secret_mark`), empty for no check.

    Raises:
        ValueError: the address is none of these, or has a part that cannot be right.

    >>> type(open_store("memory:")).__name__
    'DictStore'
    """
    if fault := address_fault(address):
        raise ValueError(f"no store at this address ({fault}): give one of {ADDRESSES}")
    if address == "memory:":
        return DictStore(keeps)
    if address == "embedded:":
        # A process on a real server has no use for the fake and its Lua.
        from advisor.store.embedded import EmbeddedStore

        return EmbeddedStore(keeps=keeps, secret_mark=secret_mark)
    return RedisStore(address, keeps, secret_mark)
