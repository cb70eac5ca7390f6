"""``backup`` and ``restore``: the store as one file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.commands.bars import progress
from advisor.commands.beginning import book_of, read_settings, start_log
from advisor.commands.exits import Exit, FoundProblems, WrongUsage
from advisor.service.clock import SystemClock

if TYPE_CHECKING:
    from advisor.settings import Settings
    from advisor.store.redis_store import RedisStore

#: Nobody on a phone waits for these commands, and a script of theirs may read much.
TIMEOUT_S = 10.0

PERSONAL = "it holds personal data of everybody in it: keep it where only those come who may read that"


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--lists", is_flag=True, help="Only the do-not-contact lists: small and of hashes alone, to be taken often."
)
def backup(file: Path, lists: bool) -> Exit:
    """Writes all that the store holds into FILE, while the service runs.

    \b
    Example:
      advisor backup growers-2027-03-01.backup
    """
    from advisor.service.backups import back_up
    from advisor.store.names import BUCKETS

    if file.exists() and not file.is_file():
        raise WrongUsage(
            f"{file} is no ordinary file, and a backup takes the place of what is there: name another"
        )
    with used_store(read_settings(demo=False)) as store:
        store.open()
        try:
            with progress(BUCKETS, "buckets", shows_place=True) as done:
                saved = back_up(store, file, SystemClock(), lists_only=lists, progress=done)
        except OSError as error:
            raise WrongUsage(
                f"{file} cannot be written ({error.strerror}): name a file in another folder"
            ) from error
    click.echo(f"{file}: {'the do-not-contact lists' if lists else f'{saved.growers} growers'}, whole")
    if not lists:
        click.echo(f"warning: {PERSONAL}", err=True)
    if saved.damaged:
        raise FoundProblems(f"damaged keys, left out: {', '.join(saved.damaged)}: look at them in the store")
    return Exit.DONE


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--lists",
    multiple=True,
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Do-not-contact lists taken after FILE; whoever was erased by them stays erased. Can be given again.",
)
def restore(file: Path, lists: tuple[Path, ...]) -> Exit:
    """Puts a backup into a store that holds no growers; stop the service before.

    Whoever was erased since the backup stays erased: by the lists in the store, and by those given.

    \b
    Example:
      advisor restore growers-2027-03-01.backup --lists lists-2027-03-09.backup
    """
    from advisor.by_book import dialogues_of
    from advisor.service.backups import BadBackup, check, rules_of
    from advisor.service.backups import restore as put_back
    from advisor.service.identity import Ids
    from advisor.store.restoring import StoreInUse

    settings, clock = read_settings(demo=False), SystemClock()
    rules = rules_of(Ids(settings.id_secret.encode()), dialogues_of(book_of(settings)).bands, clock)
    with used_store(settings) as store:
        try:
            checked = check(file)
            click.echo(f"{file} of {checked.taken:%Y-%m-%d %H:%M} UTC is whole: {checked.footer.growers} growers")
            with progress(checked.footer.growers, "growers", shows_place=True) as count:
                done = put_back(store, file, rules, clock, lists=lists, progress=count)
        except BadBackup as error:
            raise FoundProblems(f"not restored: {error}") from error
        except StoreInUse as error:
            raise WrongUsage(f"SOWING_STORE: {error}") from error
    click.echo(f"{done.growers} growers are back, {done.left_out} are left out: erased, or not agreed and over")
    return Exit.DONE


@contextmanager
def used_store(settings: Settings) -> Iterator[RedisStore]:
    """The store that the service uses, and its troubles in one line."""
    from advisor.app import keeps_of
    from advisor.store.api import StoreDamaged, StoreMismatch, StoreUnavailable
    from advisor.store.keys import secret_mark
    from advisor.store.redis_store import RedisStore

    if not settings.store.startswith(("redis", "unix")):
        raise WrongUsage("no store: set SOWING_STORE to the store that advisor serve uses")
    start_log()
    secret = secret_mark(settings.id_secret.encode())
    store = RedisStore(settings.store, keeps_of(settings), secret, timeout_s=TIMEOUT_S)
    try:
        yield store
    except (StoreMismatch, StoreDamaged) as error:
        raise WrongUsage(f"SOWING_STORE: {error}") from error
    except StoreUnavailable as error:
        raise WrongUsage(f"SOWING_STORE: {error.what}: see to it, then do the same again") from error
    finally:
        store.close()
