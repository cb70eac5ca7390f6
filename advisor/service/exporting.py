"""Writes growers as the table that an import takes, safe for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import BinaryIO

from advisor.records.own_phones import is_growers
from advisor.records.rows_schema import COLUMNS
from advisor.records.rows_writing import cells_of
from advisor.service.listing import Days
from advisor.service.stored import from_bytes
from advisor.store.api import Store
from advisor.store.names import BUCKETS

#: Growers a trip.
TOGETHER = 500


@dataclass(frozen=True, slots=True)
class Exported:
    """What an export holds.

    Args:
        growers: how many growers are in it.
        stopped: how many are left out, since they want no messages.
        damaged: keys of the store that cannot be read, left out.
        own_phones: how many phones of agents are left out, which are nobody's as growers.
    """

    growers: int
    stopped: int
    damaged: tuple[str, ...] = ()
    own_phones: int = 0


def export(
    store: Store,
    out: BinaryIO,
    days: Days,
    names: Mapping[str, Mapping[str, str]],
    villages: Collection[str] = (),
    own_phones: Collection[str] = (),
    progress: Callable[[int], None] = lambda _: None,
) -> Exported:
    """Writes all who have agreed and want messages, by village and number.

    In UTF-8 with its mark, by which spreadsheets know it, parted by commas.

    Args:
        store: where they are.
        out: where to.
        days: days of the place.
        names: what keys are called, by fact.
        villages: keys of villages; only growers of these. Empty for all.
        own_phones: numbers of the phones that agents work from; brought in again, they would be growers'.
        progress: told how many buckets are done.
    """
    rows: list[dict[str, str]] = []
    damaged: list[str] = []
    stopped = left_out = 0
    for bucket in range(BUCKETS):
        growers = store.settled(bucket)
        for first in range(0, len(growers), TOGETHER):
            found = store.values(growers[first : first + TOGETHER])
            damaged += found.damaged
            for valued in found.taken:
                record = from_bytes(valued.value).record
                village = record.fact("grower.village")
                if record.agreed is None or (villages and (village is None or village.value not in villages)):
                    continue
                if not is_growers(record.number, (fact.name for fact in record.facts), own_phones):
                    left_out += 1
                elif record.stopped is not None:
                    stopped += 1
                else:
                    rows.append(cells_of(record, days.day_of, names))
        progress(bucket + 1)
    write_table(out, tuple(COLUMNS), sorted(rows, key=lambda row: (row.get("village", ""), row["number"])))
    return Exported(len(rows), stopped, tuple(damaged), left_out)


def write_table(out: BinaryIO, columns: tuple[str, ...], rows: Iterable[Mapping[str, str]]) -> None:
    """Writes a table as CSV (RFC 4180); what rows do not have stays empty. Who gives cells has defused them."""
    text = io.TextIOWrapper(out, encoding="utf-8-sig", newline="", write_through=True)
    writer = csv.DictWriter(text, columns, restval="")
    writer.writeheader()
    writer.writerows(rows)
    text.detach()
