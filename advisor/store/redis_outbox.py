"""The part of the store on Redis that keeps outgoing messages: each script has the keys of one bucket."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.store import keys, plans
from advisor.store.api import LANES, Aside, Claims, Grant, Settlement, Terms
from advisor.store.encoding import OutRecord
from advisor.store.errors import StoreDamaged
from advisor.store.holding import aside_in, checked_out, claimed_in, read_as
from advisor.store.link import Link
from advisor.store.plans import Keeps
from advisor.store.script import Script

_CLAIM, _SETTLE, _RATE = map(Script.named, ("claim", "settle", "rate"))


class RedisOutbox:
    """Outgoing messages on Redis; `RedisStore` is one.

    Args:
        link: the line to the server.
        keeps: how long things are kept.
    """

    _link: Link
    _keeps: Keeps

    def claim(
        self,
        bucket: int,
        now_ms: int,
        lease_ms: int,
        most: int,
        terms: Terms = Terms(),  # noqa: B008 - a frozen value
        lanes: tuple[int, ...] = LANES,
    ) -> Claims:
        asked = [
            ("ZRANGEBYSCORE", keys.of_lane(bucket, lane), "-inf", str(now_ms), "LIMIT", "0", str(most + 1))
            for lane in lanes
        ]
        found, damaged = self._link.sound(asked)
        due = [(lane, oid.decode()) for lane, oids in zip(lanes, found, strict=True) for oid in oids or ()]
        is_more = len(due) > most
        del due[most:]
        if not due:
            return Claims(damaged=damaged)
        arguments = [str(now_ms), str(now_ms + lease_ms), str(self._keeps.marks_ms), terms.day, str(terms.per_day)]
        arguments += [str(terms.until_ms), str(terms.again_ms), str(terms.tomorrow_ms)]
        for lane, oid in due:
            arguments += [str(lane + 2), oid]
        declared = [
            keys.of_stops(bucket),
            *(keys.of_lane(bucket, lane) for lane in LANES),
            keys.of_idle(bucket),
            keys.of_pauses(bucket),
            keys.of_day(bucket, terms.day),
            *(keys.of_out(oid) for _, oid in due),
        ]
        word, *rest = self._link.run(_CLAIM, declared, arguments)
        if word == b"damaged":
            raise StoreDamaged(rest[0].decode())
        skipped, taken = rest
        return Claims(
            tuple(claimed_in(due[int(place) - 1], parts) for place, *parts in taken),
            tuple(dict.fromkeys((*damaged, *(key.decode() for key in skipped)))),
            is_more,
        )

    def settle(self, bucket: int, settlements: Sequence[Settlement], at_ms: int) -> tuple[str, ...]:
        if not settlements:
            return ()
        declared = [*(keys.of_lane(bucket, lane) for lane in LANES), keys.of_aside(bucket)]
        arguments = [str(at_ms), str(self._keeps.marks_ms), str(self._keeps.aside_ms)]
        for one in settlements:
            key = checked_out(bucket, one.oid)
            declared += [key, keys.of_traces(one.grower) if one.grower else key]
            arguments += plans.settlement_words(one)
        return tuple(key.decode() for key in self._link.run(_SETTLE, declared, arguments))

    def aside(self, bucket: int) -> tuple[Aside, ...]:
        rows = self._link.one("ZRANGE", keys.of_aside(bucket), "0", "-1", "WITHSCORES")
        listed = [(oid.decode(), int(score)) for oid, score in zip(rows[::2], rows[1::2], strict=True)]
        held = self._link.sound(("GET", keys.of_out(oid)) for oid, _ in listed)[0] if listed else []
        return tuple(
            found
            for (oid, since_ms), text in zip(listed, held, strict=True)
            if (found := aside_in(oid, since_ms, text)) is not None
        )

    def grant(self, now_ms: int, per_second: int, most: int, reserve: int = 0) -> Grant:
        asked = ("take", str(per_second), str(most), str(reserve))
        many, wait_ms = self._link.run(_RATE, [keys.RATE], asked)
        return Grant(int(many), int(wait_ms))

    def hold(self, now_ms: int, for_ms: int) -> None:
        self._link.run(_RATE, [keys.RATE], ("hold", str(for_ms)))

    def state(self, oid: str) -> str | None:
        held = self._link.one("GET", keys.of_out(oid))
        return None if held is None else read_as(keys.of_out(oid), OutRecord.read, held).state
