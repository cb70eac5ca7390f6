"""Whether a line of a backup can be restored. A checksum says that a file is as it was written, not by whom."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import pairwise

from advisor.store.api import LANES, MOST_MS
from advisor.store.encoding import OutRecord, waiting
from advisor.store.names import BUCKETS, bucket_of, bucket_of_out, checked_hash, checked_name
from advisor.store.redis_rounds import PLACE
from advisor.store.rounds import RoundRow, RoundState
from advisor.store.rows import AnyLine, Begun, Footer, Header, Line, Lists, Queued, Rest, Row

_ID = re.compile(r"(?P<ms>[0-9]{1,16})-(?P<turn>[0-9]{1,15})")
#: Names and values of one line of history: the service writes a dozen, a script takes some thousand at most.
_FIELDS_MOST = 1000


def check_line(line: AnyLine) -> None:
    """Looks at all that a restore will rely on, so that it does not fail when half is written.

    Raises:
        ValueError: something in it is no name of the store, lies in another bucket, or is out of its range.
    """
    match line:
        case Row():
            _check_row(line)
        case Rest():
            _check_rest(line)
        case Lists():
            _check_lists(line)
        case Header():
            _within(line.taken_ms)
            if line.holds not in ("growers", "lists"):
                raise ValueError("a header holds growers or lists")
        case Begun():
            _check_begun(line)
        case Footer():
            pass


def _check_begun(line: Begun) -> None:
    _within(line.started_ms)
    RoundRow(line.key, RoundState(line.state), line.started_ms, line.text)


def _check_row(row: Row) -> None:
    bucket = bucket_of(row.grower)
    _within(row.version, row.lapses_ms or 0, row.idle_ms or 0)
    if row.version == 0:
        raise ValueError("a version is above 0")
    for kept in (*row.answers, *row.effects):
        checked_name("kept", kept.name)
        _within(kept.left_ms)
    for queued in (*row.queued, *row.aside):
        _check_queued(queued, bucket)
    _check_history(row.history)
    for key, look_ms in row.dues:
        checked_name("round", key)
        _within(look_ms)


def _check_queued(queued: Queued, bucket: int) -> None:
    _within(queued.due_ms, OutRecord.read(queued.held).expires_ms)
    if bucket_of_out(queued.oid) != bucket or queued.lane not in LANES:
        raise ValueError("a queued message lies in another bucket or in no lane")


def _check_history(history: Iterable[Line]) -> None:
    found = [(_ID.fullmatch(line.id), len(line.fields)) for line in history]
    places = [(int(id_["ms"]), int(id_["turn"])) for id_, _ in found if id_]
    _within(*(ms for ms, _ in places))
    in_order = all(before < behind for before, behind in pairwise([(0, 0), *places]))
    if len(places) < len(found) or not in_order:
        raise ValueError("lines of history have ids that rise")
    if any(many % 2 or not 0 < many <= _FIELDS_MOST for _, many in found):
        raise ValueError("a line of history holds names and values by turns")


def _check_lists(lists: Lists | Rest) -> None:
    if not 0 <= lists.bucket < BUCKETS:
        raise ValueError(f"bucket is {lists.bucket}, allowed is 0 to {BUCKETS - 1}")
    for member in (*lists.stops, *lists.gone):
        checked_hash("number", member)


def _check_rest(rest: Rest) -> None:
    _check_lists(rest)
    for number, target in rest.pointers:
        checked_hash("pointer", target)
        if bucket_of(number) != rest.bucket:
            raise ValueError("a pointer lies in another bucket")
    for effect, at_ms, held in rest.relays:
        waiting(rest.bucket, checked_name("effect", effect), held)
        _within(at_ms)
    for member, at_ms in rest.parked:
        grower, _, message = member.partition(":")
        checked_name("message", message)
        _within(at_ms)
        if bucket_of(grower) != rest.bucket:
            raise ValueError("a parked message lies in another bucket")
    for key, counter, count in rest.tallies:
        checked_name("round", key)
        _within(count)
        if not counter or counter == PLACE:
            raise ValueError("a figure of a round has a name of its own")


def _within(*numbers: int) -> None:
    if not all(0 <= number <= MOST_MS for number in numbers):
        raise ValueError("a number is out of its range, 0 to 2⁵³ - 1")
