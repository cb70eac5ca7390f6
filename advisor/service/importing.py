"""Takes growers in from a table: first the whole file is read and judged, then each grower is one commit.

Nothing is written before the file is known to be sound. A grower is there whole or not; figures change in the same
commit. What is there already is compared with the row, and a row that says nothing new writes nothing, so that an
import that was killed is simply run again.
"""

from __future__ import annotations

import logging
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import BinaryIO

from msgspec.structs import replace

from advisor.records.rows import FACTS, Remark, Row
from advisor.records.rows_merging import merged, unclear, unlike, with_row
from advisor.records.rows_reading import RowReader, Terms
from advisor.records.rows_schema import COLUMNS, REQUIRED
from advisor.service.clock import Clock, unix_ms
from advisor.service.endings import new_ending
from advisor.service.figures import Bands, figure_changes
from advisor.service.identity import Ids
from advisor.service.journal import log_event, place_of
from advisor.service.listing import Days
from advisor.service.numbers import doubt
from advisor.service.stored import NewerSchema, from_bytes, to_bytes
from advisor.service.tables import Line, read_table
from advisor.store.api import Change, Committed, Entry, Store, StoreDamaged
from advisor.store.names import bucket_of

#: Growers a trip: one reading, one commit each in one pipeline.
TOGETHER = 500
#: Against growers who write meanwhile.
TRIES = 5

NEW, CHANGED, SAME = "new", "changed", "same"

_STOPPED = (
    "the number is on the do-not-contact list: its grower wants no messages, has taken consent back or has had "
    "everything erased; they can agree again on the phone, nobody can for them"
)
_MOVED = "the record of this number has moved to another number: give that one"
_DAMAGED = "what the store holds of this number cannot be read: /health names damaged keys"
_BUSY = "the grower was writing just now: import the file again"
_SEVERAL = "the grower has several fields or lots, and a list does not say which: left as it is"
_TWO_PEOPLE = (
    "differs from line {} of the same number, into which this line is merged: if they are two people on one "
    "phone, what was told last stands for both; give one of them another number"
)
_COLUMN_OF = {name: column for column, name in FACTS.items()}


@dataclass(frozen=True, slots=True)
class Checked:
    """A file that is sound.

    Args:
        rows: one for each number, in the order of the file.
        remarks: what is said of lines.
        lines: how many lines hold anything, the first one left out.
    """

    rows: tuple[Row, ...]
    remarks: tuple[Remark, ...]
    lines: int


@dataclass(frozen=True, slots=True)
class Brought:
    """What became of the rows.

    Args:
        new: growers who were not there.
        changed: growers of whom something new was said.
        same: growers of whom nothing new was said.
        remarks: what is said of rows that were kept out or taken in part.
    """

    new: int
    changed: int
    same: int
    remarks: tuple[Remark, ...]


def check(file: BinaryIO, terms: Terms, progress: Callable[[int], None] = lambda _: None) -> Checked:
    """Reads a whole file; nothing is written anywhere.

    Args:
        file: open for reading bytes.
        terms: what the programme makes of cells.
        progress: told how many bytes are read.

    Raises:
        BrokenTable: it is no table of growers.
    """
    rows: dict[str, Row] = {}
    remarks: list[Remark] = []
    lines, reader = 0, RowReader(terms)
    for line in read_table(file, tuple(COLUMNS), REQUIRED, progress):
        lines += 1
        row = _row_of(line, reader)
        if not isinstance(row, Row):
            remarks += row
            continue
        if why := doubt(row.number):
            remarks.append(Remark(row.line, "number", "doubted", why))
        upper = rows.get(row.number)
        if upper is not None:
            reason = f"the same number as line {upper.line}: of each fact what was told last is taken"
            remarks.append(Remark(row.line, "number", "merged", reason))
            if columns := unlike(upper, row):
                remarks.append(Remark(row.line, ", ".join(columns), "doubted", _TWO_PEOPLE.format(upper.line)))
        rows[row.number] = row if upper is None else merged(upper, row)
    return Checked(tuple(rows.values()), tuple(remarks), lines)


def _row_of(line: Line, reader: RowReader) -> Row | tuple[Remark, ...]:
    if line.cells is None:
        reason = f"has {line.wide} cells, unlike the first line: quote cells with commas or semicolons in them"
        return (Remark(line.number, "", "refused", reason),)
    return reader.row(line.number, line.cells)


@dataclass(frozen=True, slots=True)
class Importing:
    """Takes growers in.

    Args:
        store: where they go.
        clock: what the time is.
        ids: derives ids.
        bands: edges for the village figures.
        days: days of the place.
        retention: for how long a record is kept of which nothing is heard.
        writes: whether anything is written; a dry run only says what would happen.
    """

    store: Store
    clock: Clock
    ids: Ids
    bands: Bands
    days: Days
    retention: timedelta
    writes: bool = True

    def bring_in(self, rows: Sequence[Row], progress: Callable[[int], None] = lambda _: None) -> Brought:
        """Brings rows in, bucket by bucket; the same again changes nothing.

        Args:
            rows: one for each number.
            progress: told how many rows are done with.

        Raises:
            StoreUnavailable: the store does not answer; what is in is in, and the same again does the rest.
        """
        buckets: dict[int, list[tuple[str, Row]]] = defaultdict(list)
        for row in rows:
            number = self.ids.number(row.number)
            buckets[bucket_of(number)].append((number, row))
        found, remarks = Counter[str](), list[Remark]()
        for bucket, there in sorted(buckets.items()):
            for first in range(0, len(there), TOGETHER):
                for one in self._bring(bucket, there[first : first + TOGETHER]):
                    found[one.outcome] += 1
                    remarks += one.remarks
                progress(found.total())
        brought = Brought(found[NEW], found[CHANGED], found[SAME], tuple(sorted(remarks, key=_line)))
        if self.writes:
            log_event("import", new=found[NEW], changed=found[CHANGED], same=found[SAME], kept_out=found[""])
        return brought

    def _bring(self, bucket: int, some: list[tuple[str, Row]]) -> list[_Decided]:
        """What became of some rows of one bucket, each once."""
        ended, left = list[_Decided](), dict(some)
        for _ in range(TRIES):
            entries = self.store.entries(bucket, list(left))
            decided = [self._decided(row, entry) for row, entry in zip(left.values(), entries, strict=True)]
            changing = [one for one in decided if one.change is not None and self.writes]
            ended += [one for one in decided if one.change is None or not self.writes]
            verdicts = self.store.commit_all([one.change for one in changing if one.change is not None])
            left = {}
            for one, verdict in zip(changing, verdicts, strict=True):
                if isinstance(verdict, Committed):
                    ended.append(one)
                elif isinstance(verdict, StoreDamaged):
                    ended.append(_kept_out(one.row, _DAMAGED))
                else:
                    left[self.ids.number(one.row.number)] = one.row
            if not left:
                break
        return ended + [_kept_out(row, _BUSY) for row in left.values()]

    def _decided(self, row: Row, entry: Entry | StoreDamaged) -> _Decided:
        if isinstance(entry, StoreDamaged):
            return _kept_out(row, _DAMAGED)
        try:
            before = from_bytes(entry.value)
        except NewerSchema:
            raise
        except Exception as error:
            log_event("import", level=logging.ERROR, grower=entry.grower, place=place_of(error))
            return _kept_out(row, _DAMAGED)
        is_new = before.record.agreed is None
        if is_new and (entry.stops or before.record.stopped is not None):
            return _kept_out(row, _STOPPED)
        if is_new and entry.grower != entry.number:
            return _kept_out(row, _MOVED)
        record = with_row(before.record, row, self.days.begins)
        remarks = tuple(
            Remark(row.line, _COLUMN_OF[name], "partly", _SEVERAL) for name in unclear(before.record, row)
        )
        if record == before.record:
            return _Decided(row, SAME, None, remarks)
        change = Change(
            grower=entry.grower,
            version=entry.version,
            value=to_bytes(replace(before, record=record)),
            at_ms=unix_ms(self.clock.now()),
            counts=figure_changes(before.record, record, self.bands),
            # somebody else has spoken, not the grower: only of who is new is it known since when nothing was heard
            heard=is_new,
            idle_ms=unix_ms(self.days.begins(row.heard_on) + self.retention) if is_new else None,
            unless_stopped=entry.number if is_new else "",
            ending=new_ending(before.record, record, self.ids),
        )
        return _Decided(row, NEW if is_new else CHANGED, change, remarks)


@dataclass(frozen=True, slots=True)
class _Decided:
    """What becomes of one row: ``new``, ``changed``, ``same``, or empty where it is kept out."""

    row: Row
    outcome: str
    change: Change | None
    remarks: tuple[Remark, ...]


def _kept_out(row: Row, reason: str) -> _Decided:
    return _Decided(row, "", None, (Remark(row.line, "number", "kept out", reason),))


def _line(remark: Remark) -> int:
    return remark.line
