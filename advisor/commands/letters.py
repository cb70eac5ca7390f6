"""``letters``: messages that need somebody to look at them, outgoing and incoming."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from advisor.commands.backups import PERSONAL, used_store
from advisor.commands.beginning import read_settings
from advisor.commands.exits import Exit, FoundProblems

if TYPE_CHECKING:
    from advisor.store.api import Aside
    from advisor.store.redis_store import RedisStore

_TEXTS = click.option("--texts", is_flag=True, help="With number and text, which are personal data.")


@click.group()
def letters() -> None:
    """Shows messages that were given up, that may or may not have arrived, or that could not be answered.

    Nothing that is shown here is sent again by itself; again does so. Outgoing messages are kept for seven days.

    \b
    Example:
      advisor letters dead
    """


@letters.command()
@_TEXTS
def dead(texts: bool) -> Exit:
    """Lists outgoing messages that the gateway did not take in eight tries.

    \b
    Example:
      advisor letters dead --texts
    """
    return _show("dead", texts)


@letters.command()
@_TEXTS
def unknown(texts: bool) -> Exit:
    """Lists outgoing messages that may have arrived: nobody said so for as long as the gateway knows them again.

    \b
    Example:
      advisor letters unknown
    """
    return _show("unknown", texts)


@letters.command()
@click.option("--clear", is_flag=True, help="Take what is shown off the list.")
def parked(clear: bool) -> Exit:
    """Lists incoming messages that kept failing; each was answered that one should try later.

    The service's log says why, under stumble. Grower and message are hashes.

    \b
    Example:
      advisor letters parked --clear
    """
    from advisor.store.names import BUCKETS

    with _opened() as store:
        listed = [one for bucket in range(BUCKETS) for one in store.parked(bucket)]
        for one in sorted(listed, key=lambda one: one.at_ms):
            click.echo(f"{_time(one.at_ms)}  grower {one.grower}  message {one.message}")
            if clear:
                store.unpark(one.grower, one.message)
    click.echo(f"{len(listed)} incoming messages" + (", off the list now" if clear and listed else ""), err=True)
    return Exit.DONE


@letters.command()
@click.argument("ids", metavar="ID...", nargs=-1, required=True)
def again(ids: tuple[str, ...]) -> Exit:
    """Lets outgoing messages leave once more that were given up; ID is one that dead lists.

    Each keeps its id, so that a gateway that has it after all repeats nothing. None is sent to who has said stop,
    nor in quiet hours, nor once its time is over.

    \b
    Example:
      advisor letters again b07-3a9c0f5511223344
    """
    from advisor.app import keeps_of
    from advisor.service.clock import SystemClock, unix_ms
    from advisor.service.sending import LEASE_MS
    from advisor.store.again import Again, put_back

    settings, left = read_settings(demo=False), 0
    keeps, clock = keeps_of(settings), SystemClock()
    with used_store(settings) as store:
        store.open()
        for oid in ids:
            now = clock.now()
            known_ms = unix_ms(now - settings.gateway_memory) + LEASE_MS
            try:
                found = put_back(store, keeps, oid, unix_ms(now), known_ms)
            except ValueError:
                found = Again.OTHER
            click.echo(f"{oid}: {_BECOMES[found.value]}")
            left += found is not Again.WAITS
    if left:
        raise FoundProblems(f"{left} of {len(ids)} are not sent again")
    return Exit.DONE


#: What is said of each message.
_BECOMES = {
    "waits": "leaves again",
    "other": "was not given up: letters dead lists all that were",
    "late": "its time is over",
    "unsure": "may have arrived, and the gateway does not know its id any more: ask whoever it was for",
    "unwanted": "whoever it was for wants no messages, or its round was stopped",
}


def _show(state: str, texts: bool) -> Exit:
    from advisor.store.names import BUCKETS

    with _opened() as store:
        listed = [one for bucket in range(BUCKETS) for one in store.aside(bucket) if one.state == state]
    for one in sorted(listed, key=lambda one: (one.since_ms, one.oid)):
        click.echo("  ".join(_words(one, texts)))
    click.echo(f"{len(listed)} outgoing messages", err=True)
    if texts and listed:
        click.echo(f"warning: {PERSONAL}", err=True)
    return Exit.DONE


def _words(one: Aside, texts: bool) -> Iterator[str]:
    import msgspec

    from advisor.service.outgoing import Parcel

    yield _time(one.since_ms)
    yield one.oid
    yield f"{one.attempts} tries"
    yield f"round {one.round}" if one.round else "no round"
    if texts:
        try:
            parcel = msgspec.json.decode(one.body, type=Parcel)
        except msgspec.DecodeError:
            yield "cannot be read"
        else:
            yield parcel.number
            yield " ".join(parcel.text.split())


def _time(at_ms: int) -> str:
    from datetime import UTC, datetime

    from advisor.service.clock import rfc3339

    return rfc3339(datetime.fromtimestamp(at_ms // 1000, UTC))


@contextmanager
def _opened() -> Iterator[RedisStore]:
    with used_store(read_settings(demo=False)) as store:
        store.open()
        yield store
