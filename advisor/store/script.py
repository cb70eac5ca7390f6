"""What the commit script is asked to do, and how a script gets to the server.

A `Plan` gathers the operations of one commit. Each operation names its key by its place in KEYS, so no key can
be written that was not declared: on a cluster an undeclared key would be looked for on the wrong server.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from importlib import resources
from typing import Any, Protocol

from redis.exceptions import NoScriptError

from advisor.store.change import Readdress

Word = bytes | str


class Asks(Protocol):
    """Whatever sends one command to the server that holds its keys."""

    def execute_command(self, *args: Any) -> Any: ...


@dataclass(frozen=True, slots=True)
class Call:
    """One call of a script.

    Args:
        keys: KEYS, on a cluster all of one slot.
        arguments: ARGV.
    """

    keys: tuple[Word, ...]
    arguments: tuple[Word, ...]

    @property
    def words(self) -> tuple[Word, ...]:
        """What stands behind the script in the command."""
        return str(len(self.keys)), *self.keys, *self.arguments


@dataclass(frozen=True, slots=True)
class Script:
    """A Lua script that comes with the package.

    Args:
        text: its source.
        sha: its SHA-1, by which the server knows it.
    """

    text: str
    sha: str

    @classmethod
    def named(cls, name: str) -> Script:
        """Reads a script of this package, for example ``commit``."""
        text = resources.files("advisor.store").joinpath(f"{name}.lua").read_text(encoding="utf-8")
        return cls(text, hashlib.sha1(text.encode(), usedforsecurity=False).hexdigest())

    def run(self, client: Asks, keys: Iterable[Word], arguments: Iterable[Word]) -> list[Any]:
        """Runs it in one trip; a server that does not know it (new, restarted) gets the source in a second."""
        call = Call(tuple(keys), tuple(arguments))
        try:
            answer = client.execute_command(*self.known(call))
        except NoScriptError:
            answer = client.execute_command(*self.told(call))
        return list(answer)

    def known(self, call: Call) -> tuple[Word, ...]:
        """The command for a server that knows the script."""
        return "EVALSHA", self.sha, *call.words

    def told(self, call: Call) -> tuple[Word, ...]:
        """The command for a server that does not."""
        return "EVAL", self.text, *call.words


@dataclass(slots=True)
class Plan:
    """The checks and operations of one commit, gathered in order.

    >>> plan = Plan()
    >>> plan.guard("{b07}:g:0f", b"0000000000000001")
    >>> plan.set("{b07}:g:0f", b"0000000000000002{}")
    >>> plan.zrem("{b07}:lapse", "0f")
    >>> plan.keys
    ('{b07}:g:0f', '{b07}:lapse')
    >>> plan.arguments[:4]
    ('0', '0', '1', b'0000000000000001')
    """

    _places: dict[str, int] = field(default_factory=dict)
    _once: list[str] = field(default_factory=lambda: ["0", "0"])
    _guard: tuple[str, bytes] = ("0", b"")
    _operations: list[Word] = field(default_factory=list)

    @property
    def keys(self) -> tuple[str, ...]:
        """KEYS of the script."""
        return tuple(self._places)

    @property
    def arguments(self) -> tuple[Word, ...]:
        """ARGV of the script."""
        return (*self._once, *self._guard, *self._operations)

    def once_per_message(self, key: str, held: bytes, ttl_ms: int) -> None:
        """Nothing happens when the key holds an answer already, else it holds this one."""
        self._once[0] = self._place(key)
        self.set(key, held, ttl_ms)

    def once_per_effect(self, key: str, held: bytes, ttl_ms: int) -> None:
        """Nothing happens when the effect was applied already, else it is marked."""
        self._once[1] = self._place(key)
        self.set(key, held, ttl_ms)

    def guard(self, key: str, beginning: bytes) -> None:
        """Nothing happens unless the key's value begins so; empty: unless there is none."""
        self._guard = (self._place(key), beginning)

    def absent(self, key: str, member: str) -> None:
        """Nothing happens when a set holds the member; writes nothing there."""
        self._add("absent", key, member)

    def look(self, key: str) -> None:
        """Nothing happens when the key holds anything but text; writes nothing there."""
        self._add("look", key)

    def set(self, key: str, value: Word, ttl_ms: int = 0) -> None:
        self._add("set", key, value, str(ttl_ms))

    def offer_out(
        self,
        key: str,
        value: Word,
        lane: str,
        due_ms: int,
        oid: str,
        ttl_ms: int,
        among: tuple[str, str] | None = None,
    ) -> None:
        """Writes a message for ``ttl_ms`` and queues it, both only when its key is new.

        ``among`` names the traces of the grower, traced by the same plan, and a round: others of that round that
        the traces tell of wait no more.
        """
        newest = () if among is None else (self._place(among[0]), among[1])
        self._add("offer", key, value, self._place(lane), str(due_ms), oid, str(ttl_ms), "out", *newest)

    def retire(self, key: str, lane: str, oid: str, kept_ms: int) -> None:
        """A message that waits is failed, its number and text go; what is damaged is passed over."""
        self._add("retire", key, self._place(lane), oid, str(kept_ms))

    def readdress(self, key: str, change: Readdress) -> None:
        """A message that waits and was never claimed goes to another number; what is damaged is passed over."""
        self._add("readdress", key, change.to, change.was, change.now)

    def hdel(self, key: str, field: str) -> None:
        self._add("hdel", key, field)

    def offer_relay(self, key: str, value: Word, waiting: str, at_ms: int, effect: str) -> None:
        """Writes a relay and queues it, both only when its key is new."""
        self._add("offer", key, value, self._place(waiting), str(at_ms), effect, "0", "relay")

    def delete(self, key: str) -> None:
        self._add("del", key)

    def trace(self, key: str, kept_ms: int, member: str) -> None:
        """Remembers for ``kept_ms`` that what the member names was written."""
        self._add("trace", key, str(kept_ms), member)

    def emptied(self, key: str, members: Iterable[bytes]) -> None:
        """Deletes a set of traces; nothing happens at all unless its members are these."""
        self._add("emptied", key, *members)

    def unlist(self, key: str, member: str) -> None:
        """Takes a member out of a list, if it is one: what is damaged holds up no stop."""
        self._add("unlist", key, member)

    def known(self, key: str, names: Iterable[str]) -> None:
        """Nothing happens unless these are the fields of a hash."""
        self._add("known", key, *names)

    def blank(self, key: str, most_ms: int) -> None:
        """Takes the reply out of a remembered answer, and remembers the rest for ``most_ms`` at most."""
        self._add("blank", key, str(most_ms))

    def drop(self, key: str, kind: str) -> None:
        """Deletes a key of another type than text, by the server's name for it."""
        self._add("drop", key, kind)

    def zadd(self, key: str, score: int, member: str) -> None:
        self._add("zadd", key, str(score), member)

    def zrem(self, key: str, member: str) -> None:
        self._add("zrem", key, member)

    def xadd(self, key: str, at_ms: int, oldest_ms: int, fields: Iterable[tuple[str, str]]) -> None:
        """Adds a line and drops those older than ``oldest_ms``."""
        self._add("xadd", key, str(at_ms), str(oldest_ms), *(word for pair in fields for word in pair))

    def lines(self, key: str, lines: Iterable[tuple[str, list[str]]]) -> None:
        """Writes a history that is not there, each line under the id that it had."""
        words: list[Word] = []
        for id_, told in lines:
            words += [id_, str(len(told)), *told]
        self._add("lines", key, *words)

    def hincrby(self, key: str, counter: str, difference: int) -> None:
        self._add("hincrby", key, counter, str(difference))

    def sadd(self, key: str, member: str) -> None:
        self._add("sadd", key, member)

    def srem(self, key: str, member: str) -> None:
        self._add("srem", key, member)

    def _place(self, key: str) -> str:
        return str(self._places.setdefault(key, len(self._places) + 1))

    def _add(self, name: str, key: str, *arguments: Word) -> None:
        self._operations += [name, self._place(key), str(len(arguments)), *arguments]
