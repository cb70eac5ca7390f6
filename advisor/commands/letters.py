"""``letters``: messages that need somebody to look at them, outgoing and incoming."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from advisor.commands.backups import PERSONAL, used_store
from advisor.commands.beginning import read_settings
from advisor.commands.exits import Exit

if TYPE_CHECKING:
    from advisor.store.api import Aside
    from advisor.store.redis_store import RedisStore

_TEXTS = click.option("--texts", is_flag=True, help="With number and text, which are personal data.")


@click.group()
def letters() -> None:
    """Shows messages that were given up, that may or may not have arrived, or that could not be answered.

    Nothing that is shown here is sent again by itself. Outgoing messages are kept for seven days.

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
