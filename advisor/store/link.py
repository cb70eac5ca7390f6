"""The line to Redis: one server or a cluster, short waits, no hidden repeats, errors told in the store's words.

redis-py repeats a command ten times by itself, which can apply a change twice. Here nothing repeats a command
that may have been carried out. Only an answer by which the server says that it did nothing (a slot on its way,
a cluster without a leader, a server still loading) is asked again, for at most `PATIENCE_S` in all.
"""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar
from weakref import WeakSet

import redis
from redis.backoff import NoBackoff
from redis.cluster import RedisCluster
from redis.exceptions import (
    AskError,
    AuthenticationError,
    AuthorizationError,
    BusyLoadingError,
    ClusterError,
    MovedError,
    NoPermissionError,
    NoScriptError,
    RedisClusterException,
    ResponseError,
    SlotNotCoveredError,
    TryAgainError,
)
from redis.retry import Retry

from advisor.store.address import without_cluster
from advisor.store.api import StoreDamaged, StoreMismatch, StoreRefused, StoreUnavailable
from advisor.store.script import Asks, Call, Script, Word

T = TypeVar("T")

Client = redis.Redis | RedisCluster

TIMEOUT_S = 0.3
PATIENCE_S = 1.0
PAUSE_S = 0.02

#: Redirections that the cluster client follows by itself before it gives the word back.
_REDIRECTIONS = 4

_PASSING = (AskError, TryAgainError, ClusterError, SlotNotCoveredError, BusyLoadingError)
_GONE = (redis.ConnectionError, redis.TimeoutError, RedisClusterException, OSError)
_NOT_NOW = re.compile(r"\b(MISCONF|OOM|READONLY|NOREPLICAS|MASTERDOWN|BUSY)\b")
_NOT_NOW_TYPES = (redis.ReadOnlyError, redis.OutOfMemoryError)
#: A cluster's client wraps what each server said, so that only the words are left to go by.
_NOT_TO_US = re.compile(
    "NOPERM|NOAUTH|WRONGPASS|Authentication required|invalid username-password|without any password configured|"
    "DB index is out of range|Cluster mode is not enabled"
)
_NOT_TO_US_TYPES = (NoPermissionError, AuthenticationError, AuthorizationError)

#: RESP2 needs no handshake on a new connection, and its answers look the same on every server.
_OPTIONS: dict[str, Any] = {"protocol": 2}


def client_at(address: str, told: Callable[[Any], None], timeout_s: float = TIMEOUT_S) -> Client:
    """A client for an address; a cluster is asked for with ``?cluster=1``, since one server cannot tell.

    Args:
        address: ``redis://``, ``rediss://`` or ``unix://``.
        told: told of each connection once it is made, and of the same one again once it is made anew.
        timeout_s: for how long a connection and an answer are waited for.

    Raises:
        redis.RedisError: a cluster that cannot be reached; a single server is first spoken to with a command.
    """
    plain, cluster = without_cluster(address)
    options = _OPTIONS | {"socket_connect_timeout": timeout_s, "socket_timeout": timeout_s}
    if not cluster:

        def connected(connection: Any) -> None:
            connection.on_connect()
            told(connection)

        return redis.Redis.from_url(plain, retry=Retry(NoBackoff(), 0), redis_connect_func=connected, **options)
    client = RedisCluster.from_url(plain, retry=Retry(NoBackoff(), 0), redis_connect_func=told, **options)
    client.RedisClusterRequestTTL = _REDIRECTIONS
    return client


class Link:
    """One client, made at first use and shared by all threads.

    Args:
        connect: makes the client.
    """

    def __init__(self, connect: Callable[[], Client]) -> None:
        self._connect = connect
        self._made: Client | None = None
        self._lock = threading.Lock()
        self._known: WeakSet[Any] = WeakSet()
        self._known_lock = threading.Lock()
        #: How often what is behind the line may have become another: a trip failed, or a connection broke and was
        #: made anew, which redis-py does without a word when the server closed it between two trips.
        self.losses = 0

    def one(self, *command: Word) -> Any:
        """One command, one trip. Raises StoreUnavailable, StoreDamaged."""
        return self._patiently(lambda client: _answer(client.execute_command, command))

    def many(self, commands: Iterable[tuple[Word, ...]]) -> list[Any]:
        """Many commands in one trip, to each server of a cluster one. Not all or nothing: for reads."""
        answers, damaged = self.sound(commands)
        if damaged:
            raise StoreDamaged(damaged[0])
        return answers

    def sound(self, commands: Iterable[tuple[Word, ...]]) -> tuple[list[Any], tuple[str, ...]]:
        """As `many`, but keys of a wrong type are named beside the answers, and their answers are None."""
        wanted = list(commands)
        answers = self._patiently(lambda client: _answers(client, wanted))
        pairs = list(zip(wanted, answers, strict=True))
        damaged = dict.fromkeys(str(command[1]) for command, answer in pairs if isinstance(answer, Exception))
        return [None if isinstance(answer, Exception) else answer for _, answer in pairs], tuple(damaged)

    def run(self, script: Script, keys: Iterable[Word], arguments: Iterable[Word]) -> list[Any]:
        """One script, one trip."""
        return self._patiently(lambda client: script.run(client, keys, arguments))

    def run_each(self, script: Script, calls: Sequence[Call]) -> list[Any]:
        """Many calls of one script in one trip, in two where a server does not know it. For reads."""

        def trip(client: Client) -> list[Any]:
            try:
                return _answers(client, [script.known(call) for call in calls])
            except NoScriptError:
                return _answers(client, [script.told(call) for call in calls])

        return self._patiently(trip)

    def servers(self) -> list[Asks]:
        """A client for each server that takes writes. Raises StoreUnavailable."""
        return self._patiently(_servers)

    def connected(self, connection: Any) -> None:
        """Notes a connection that was made; one that was made before has been lost meanwhile."""
        with self._known_lock:
            self.losses += connection in self._known
            self._known.add(connection)

    def close(self) -> None:
        """Closes the connections; the next command makes new ones."""
        with self._lock:
            made, self._made = self._made, None
        if made is not None:
            made.close()

    def _client(self) -> Client:
        with self._lock:
            if self._made is None:
                self._made = self._connect()
            return self._made

    def _patiently(self, trip: Callable[[Client], T]) -> T:
        try:
            return self._tried(trip)
        except StoreUnavailable:
            with self._known_lock:
                self.losses += 1
            raise

    def _tried(self, trip: Callable[[Client], T]) -> T:
        until = time.monotonic() + PATIENCE_S
        while True:
            try:
                return trip(self._client())
            except _PASSING as error:
                if isinstance(error, MovedError) and not isinstance(self._client(), RedisCluster):
                    raise StoreMismatch("the server is part of a cluster: add cluster=1 to its address") from error
                if time.monotonic() + PAUSE_S >= until:
                    raise StoreUnavailable(f"the store keeps saying {_line(error)}") from error
                time.sleep(PAUSE_S)
            except (*_GONE, ResponseError) as error:
                told = _told(error)
                if told is None:
                    raise
                raise told from error


def _told(error: Exception) -> Exception | None:
    """What redis-py raises in the words of the store's promises, None where there are none."""
    if isinstance(error, _NOT_TO_US_TYPES) or _NOT_TO_US.search(str(error)):
        return StoreRefused(_line(error))
    if isinstance(error, _GONE):
        return StoreUnavailable(f"the store does not answer ({_line(error)})")
    if isinstance(error, _NOT_NOW_TYPES) or _NOT_NOW.search(str(error)):
        return StoreUnavailable(f"the store cannot do this now ({_line(error)})", retry_after_s=5)
    return None


def _servers(client: Client) -> list[Asks]:
    if isinstance(client, RedisCluster):
        nodes = client.get_primaries()  # type: ignore[no-untyped-call]
        return [client.get_redis_connection(node) for node in nodes]
    return [client]


def _answer(execute: Callable[..., Any], command: tuple[Word, ...]) -> Any:
    try:
        return execute(*command)
    except ResponseError as error:
        if _is_damage(error):
            raise StoreDamaged(str(command[1])) from error
        raise


def _answers(client: Client, commands: list[tuple[Word, ...]]) -> list[Any]:
    pipeline = client.pipeline(transaction=False)
    for command in commands:
        pipeline.execute_command(*command)
    answers = pipeline.execute(raise_on_error=False)
    for answer in answers:
        if isinstance(answer, Exception) and not _is_damage(answer):
            raise answer
    return answers


def _is_damage(error: Exception) -> bool:
    """Whether a key is of another type than the command is for."""
    return "WRONGTYPE" in str(error)


def _line(error: BaseException) -> str:
    return str(error).split("\n", 1)[0].rstrip(".") or type(error).__name__
