"""Moves a grower's record to another number, at the agent's word and with the code from the old phone.

The record keeps its id; the new number points to it. The old number points to an id that nobody has, so that
whoever gets that number next begins as a stranger. Everything else of the grower (facts, questions, rounds, stop)
stays where it is, since it belongs to the record and not to the number. Messages that wait go to the new number,
in the same commit, but for those that were tried already: they may have arrived. Who shared the old phone begins
anew.
"""

from __future__ import annotations

import hmac
import secrets
from dataclasses import dataclass

import msgspec
from msgspec.structs import replace

from advisor.records.grower import CODE_LASTS, Code, Grower
from advisor.service.clock import Clock, unix_ms
from advisor.service.endings import ending_of
from advisor.service.erasing import TRIES
from advisor.service.errors import Busy
from advisor.service.identity import Ids
from advisor.service.journal import log_event
from advisor.service.outgoing import beginning_of
from advisor.service.relaying import Told
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change, Committed, Readdress, Reading, Relay, Store
from advisor.store.names import bucket_of

#: A code of six digits that was wrong so often is void until its day is over: five in a million is no chance.
MOST_TRIES = 5


class CannotMove(Exception):  # noqa: N818 - named for what is refused
    """A record that is not moved; the text says why and what to do."""


@dataclass(frozen=True, slots=True)
class Moving:
    """Moves records.

    Args:
        store: where they are.
        clock: what the time is.
        ids: derives hashes and codes.
    """

    store: Store
    clock: Clock
    ids: Ids

    def move(self, old: str, new: str, code: str | None) -> None:
        """Moves whoever writes from one number to another.

        Args:
            old: E.164 number that the record belongs to.
            new: E.164 number that it is to belong to.
            code: the code from the old phone; None where the agent has seen to it in person.

        Raises:
            CannotMove: nothing is kept of the old number, something is of the new one, or the code is not right.
            Busy: the grower kept writing; nothing is changed.
        """
        if old == new:
            raise CannotMove("both numbers are the same: give the old and the new one")
        for _ in range(TRIES):
            reading = self._read(old)
            stored = from_bytes(reading.value)
            if stored.record.agreed is None:
                raise CannotMove(
                    "nothing is kept of the old number: the grower can call from the new one right away"
                )
            if from_bytes(self._read(new).value).record.agreed is not None:
                raise CannotMove(
                    "the new number has a record of its own: erase that one first, if it is the grower's"
                )
            wrong = "" if code is None else self._why_wrong(reading.grower, stored.record, code)
            change = (
                self._wrong_change(reading, stored) if wrong else self._change(reading, stored.record, old, new)
            )
            if not isinstance(self.store.commit(change), Committed):
                continue
            log_event("move", outcome="refused" if wrong else "moved")
            if wrong:
                raise CannotMove(wrong)
            return
        raise Busy(1)

    def _read(self, number: str) -> Reading:
        return self.store.read(self.ids.number(number), self.ids.message(number, ""))

    def _why_wrong(self, grower: str, record: Grower, code: str) -> str:
        given = record.code
        if given is None or self.clock.now() - given.issued > CODE_LASTS:
            return "no code is good now: ask for one on the old phone, under New number"
        if given.tries >= MOST_TRIES:
            return "the code was tried too often: ask for a new one tomorrow, or see both phones"
        if not hmac.compare_digest(self.ids.code(grower, given.issued), code):
            return "that is not the code: look at the SMS on the old phone"
        return ""

    def _wrong_change(self, reading: Reading, stored: Stored) -> Change:
        """The try is counted; of who has no code nothing changes but the version."""
        given = stored.record.code
        counted = None if given is None else Code(given.issued, given.tries + 1)
        return self._written(reading, replace(stored, record=replace(stored.record, code=counted)))

    def _change(self, reading: Reading, record: Grower, old: str, new: str) -> Change:
        """The record with its new number and without its conversation, and where both numbers point to."""
        hashed, cause = self.ids.number(old), secrets.token_hex(8)
        # in the bucket of the old number, so that one commit does for a grower's first move
        nobody = hashed[:2] + secrets.token_hex(7)
        relays = [_points(self.ids.number(new), reading.grower, cause)]
        is_here = bucket_of(hashed) == bucket_of(reading.grower)
        if not is_here:
            relays.append(_points(hashed, nobody, cause))
        change = self._written(reading, Stored(replace(record, number=new, code=None)))
        return replace(
            change,
            relays=tuple(relays),
            ending=ending_of(new, self.ids),
            readdress=Readdress(self.ids.number(new), beginning_of(record.number), beginning_of(new)),
            pointer=(hashed, nobody) if is_here else None,
            # who wants no messages wants none on the new number either
            stop=None if record.stopped is None else (self.ids.number(new), True),
        )

    def _written(self, reading: Reading, stored: Stored) -> Change:
        return Change(reading.grower, reading.version, to_bytes(stored), unix_ms(self.clock.now()), heard=False)


def _points(number: str, grower: str, cause: str) -> Relay:
    return Relay(f"points-{number}-{cause}", number, msgspec.json.encode(Told({}, 0, points_to=grower)))
