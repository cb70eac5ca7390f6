"""A backup of the store as one file, and back. The file is gzip of JSON lines; see `advisor.store.rows`.

A backup holds personal data, readable by whoever has the file: it is made for its owner's eyes only.
"""

from __future__ import annotations

import contextlib
import gzip
import hashlib
import zlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from msgspec.structs import replace

from advisor.records.grower import Grower
from advisor.service.clock import Clock, unix_ms
from advisor.service.endings import new_ending
from advisor.service.figures import Bands, village_figures
from advisor.service.identity import Ids
from advisor.service.journal import log_event
from advisor.service.replacing import replacing
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import StoreDamaged
from advisor.store.names import BUCKETS
from advisor.store.redis_store import RedisStore
from advisor.store.restoring import Restoring, Rules, begin, finish, lists_in
from advisor.store.rows import (
    FORMAT,
    READABLE,
    AnyLine,
    Begun,
    Footer,
    Header,
    Lists,
    Rest,
    Row,
    line_of,
    read_line,
)
from advisor.store.saving import begun_in, lists_of, rest_of, rows_of
from advisor.store.sound_rows import check_line

#: Told how many of the buckets, or of the growers, are done.
Progress = Callable[[int], None]
#: Longer than any line can be: a history of two years in one line.
_LINE_MOST = 256 * 1024 * 1024


class BadBackup(Exception):  # noqa: N818 - named for what it is
    """A file that cannot be restored: it is no backup, was cut off, or is not as it was written."""


@dataclass(frozen=True, slots=True)
class Saved:
    """What a backup holds.

    Args:
        growers: how many growers.
        lines: how many lines, without header and footer.
        damaged: keys that could not be read; what they keep is missing.
    """

    growers: int
    lines: int
    damaged: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Checked:
    """A file that is whole.

    Args:
        header: its first line.
        footer: its last line.
    """

    header: Header
    footer: Footer

    @property
    def taken(self) -> datetime:
        """When it was begun."""
        return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=self.header.taken_ms)


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore brought back.

    Args:
        growers: growers that are there now.
        left_out: growers that do not come back: erased, or before consent and over by now.
    """

    growers: int
    left_out: int


def back_up(
    store: RedisStore, file: Path, clock: Clock, *, lists_only: bool = False, progress: Progress = lambda _: None
) -> Saved:
    """Writes a backup; the file appears once it is whole, readable by its owner alone.

    Args:
        store: what is read; it may be in use.
        file: where to; one that is there is replaced.
        clock: what the time is.
        lists_only: only the do-not-contact lists, which are small and can be kept often and elsewhere.
        progress: told the number of buckets done.

    Raises:
        OSError: the file cannot be written.
        StoreUnavailable: the store does not answer; there is no file.
    """
    made = store.made_with
    header = Header(
        format=FORMAT,
        holds="lists" if lists_only else "growers",
        buckets=int(made["buckets"]),
        schema=int(made["schema"]),
        secret=made.get("secret", ""),
        taken_ms=unix_ms(clock.now()),
    )
    damaged: list[str] = []
    with _replacing(file) as out:
        writer = _Writer(out)
        writer.write(header)
        for begun in () if lists_only else begun_in(store):
            writer.write(begun)
        for bucket in range(BUCKETS):
            for line in [lists_of(store, bucket)] if lists_only else _bucket_lines(store, bucket, damaged):
                writer.write(line)
            progress(bucket + 1)
        writer.end()
    log_event("backup", growers=writer.growers, damaged=len(damaged))
    return Saved(writer.growers, writer.lines - 1, tuple(damaged))


def check(file: Path) -> Checked:
    """Reads a whole file and believes nothing of it until its end is seen.

    Raises:
        BadBackup: it cannot be restored.
        OSError: it cannot be read.
    """
    header = footer = None
    growers = count = 0
    digest = hashlib.sha256()
    for raw, line in _lines(file):
        if footer is not None:
            raise BadBackup("there is more behind its end: it is not as it was written")
        if isinstance(line, Footer):
            footer = line
            continue
        if isinstance(line, Header) is not (header is None):
            raise BadBackup("it does not begin as a backup does: give a file that advisor backup wrote")
        header = line if isinstance(line, Header) else header
        digest.update(raw)
        count, growers = count + 1, growers + isinstance(line, Row)
    if header is None or footer is None:
        raise BadBackup("its end is missing: it was cut off; take another one")
    if (footer.sha256, footer.lines, footer.growers) != (digest.hexdigest(), count, growers):
        raise BadBackup("its checksum is another: it is not as it was written; take another one")
    if header.format not in READABLE or header.buckets != BUCKETS:
        raise BadBackup(f"it has form {header.format} with {header.buckets} buckets, this version reads {FORMAT}")
    return Checked(header, footer)


def restore(
    store: RedisStore,
    file: Path,
    rules: Rules,
    clock: Clock,
    *,
    lists: Iterable[Path] = (),
    progress: Progress = lambda _: None,
) -> Restored:
    """Puts a backup into a store that holds no growers. Nothing is written before the file is known to be whole.

    Whoever was erased since, by the lists that the store has, that the file has or that are given, stays erased.
    Killed half-way it leaves a store that nothing opens; the same file again brings it to its end.

    Args:
        store: where it goes; no service uses it meanwhile.
        file: the backup.
        rules: what the values mean.
        clock: what the time is.
        lists: files of do-not-contact lists, or other backups, that are younger than the backup.
        progress: told the number of growers done.

    Raises:
        BadBackup: one of the files cannot be restored.
        StoreMismatch: it was taken with another secret or from another kind of store.
        StoreInUse: the store is not empty.
        StoreDamaged: a key of the store is in the way.
        StoreUnavailable: the store does not answer; the same again goes on.
    """
    checked = check(file)
    if checked.header.holds != "growers":
        raise BadBackup("it holds do-not-contact lists alone: give it with --lists, beside a backup")
    younger = [*lists, file]
    for other in lists:
        header = check(other).header
        if header.secret != checked.header.secret:
            raise BadBackup("the lists were taken with another id secret: give lists of the same installation")
        if header.taken_ms < checked.header.taken_ms:
            # whoever was on them and agreed again would be left out
            raise BadBackup("the lists were taken before the backup, which holds what they hold: leave them out")
    begin(store, checked.header, checked.footer.sha256)
    stops, gone = lists_in(store)
    for source in younger:
        more = [line for _, line in _lines(source) if isinstance(line, Lists | Rest)]
        stops |= {number for line in more for number in line.stops}
        gone |= {number for line in more for number in line.gone}
    restoring = Restoring(store, store.keeps, rules, checked.header.taken_ms, unix_ms(clock.now()), stops, gone)
    for source in lists:
        for _, line in _lines(source):
            if isinstance(line, Lists | Rest):
                restoring.lists(line.bucket, line.stops, line.gone)
    back = left_out = 0
    for _, line in _lines(file):
        if isinstance(line, Row):
            if restoring.row(line):
                back += 1
            else:
                left_out += 1
            progress(back + left_out)
        elif isinstance(line, Rest):
            restoring.rest(line)
        elif isinstance(line, Begun):
            restoring.begun(line)
    finish(store)
    log_event("restore", growers=back, left_out=left_out)
    return Restored(back, left_out)


def rules_of(ids: Ids, bands: Bands, clock: Clock) -> Rules:
    """What the stored values mean. One that cannot be read means nothing, and comes back as it is.

    Args:
        ids: derives the hashes of numbers.
        bands: edges for the village figures.
        clock: for the moment of a stop that the backup does not know of.
    """

    def read(value: bytes) -> Stored:
        try:
            return from_bytes(value)
        except Exception:
            return Stored()

    def figures_of(value: bytes) -> Iterator[tuple[str, str, int]]:
        village, counters = village_figures(read(value).record, bands)
        return ((village, counter, 1) for counter in sorted(counters))

    def numbers_of(value: bytes) -> Iterator[str]:
        number = read(value).record.number
        return iter((ids.number(number),) if number else ())

    def as_stopped(value: bytes) -> bytes:
        stored = read(value)
        if stored.record.agreed is None or stored.record.stopped is not None:
            return value
        return to_bytes(replace(stored, record=replace(stored.record, stopped=clock.now()))) or value

    def asked_ms(value: bytes) -> int | None:
        questions = read(value).record.questions
        return unix_ms(questions[0].asked) if questions else None

    def ending(value: bytes) -> int | None:
        return new_ending(Grower(), read(value).record, ids)

    return Rules(figures_of, numbers_of, as_stopped, asked_ms, ending)


def _bucket_lines(store: RedisStore, bucket: int, damaged: list[str]) -> Iterator[AnyLine]:
    for row in rows_of(store, bucket):
        if isinstance(row, StoreDamaged):
            damaged.append(row.key)
        else:
            yield row
    yield rest_of(store, bucket)


class _Writer:
    """Writes lines and keeps count of them."""

    def __init__(self, out: gzip.GzipFile) -> None:
        self._out = out
        self._digest = hashlib.sha256()
        self.growers = self.lines = 0

    def write(self, line: AnyLine) -> None:
        raw = line_of(line)
        self._digest.update(raw)
        self._out.write(raw)
        self.lines += 1
        self.growers += isinstance(line, Row)

    def end(self) -> None:
        footer = Footer(growers=self.growers, lines=self.lines, sha256=self._digest.hexdigest())
        self._out.write(line_of(footer))


@contextlib.contextmanager
def _replacing(file: Path) -> Iterator[gzip.GzipFile]:
    """A file that takes the place of the one that is meant once all is written."""
    with replacing(file) as raw, gzip.GzipFile(filename="", mode="wb", fileobj=raw, mtime=0) as out:
        yield out


def _lines(file: Path) -> Iterator[tuple[bytes, AnyLine]]:
    """The lines of a file, one after the other; what stands in them is not believed yet."""
    try:
        with gzip.open(file, "rb") as lines:
            while raw := lines.readline(_LINE_MOST):
                line = read_line(raw)
                check_line(line)
                yield raw, line
    except (EOFError, gzip.BadGzipFile, zlib.error, ValueError) as error:
        raise BadBackup("it is no backup, or was cut off or changed: take another one") from error
