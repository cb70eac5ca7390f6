"""Goes over all growers, bucket by bucket, and reads of each what an agent's lists see; nothing is written."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import msgspec

from advisor.agronomy.germination import Method, SeedTest
from advisor.campaign.rounds import BAGS
from advisor.campaign.seen import Seen, SeenLot, SeenPlot
from advisor.records.aside import BAG, bag_numbers
from advisor.records.own_phones import is_growers
from advisor.records.several import BAG_OF_FIELD, TO_SOW
from advisor.records.sown import SOWING, SOWN, sown_on
from advisor.service.clock import Clock
from advisor.service.damage import Damage
from advisor.service.journal import log_event, place_of
from advisor.service.speaking import bags_that_count
from advisor.service.stored import READABLE, NewerSchema
from advisor.service.ticking import CLOSED
from advisor.store.api import BUCKETS, Store

#: Growers a trip.
STEP = 500

_Facts = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Survey:
    """A walk over all growers.

    Args:
        store: where they are.
        clock: what the time is.
        damage: told of damaged keys.
        holds: how long each fact holds, None for ever; what is older is not known any more.
        own_phones: numbers of the phones that agents work from, left out unless they are growers' as well.
    """

    store: Store
    clock: Clock
    damage: Damage
    holds: Mapping[str, timedelta | None]
    own_phones: frozenset[str] = frozenset()

    def growers(self, progress: Callable[[int], None] = lambda _buckets: None) -> Iterator[Seen]:
        """All growers who have agreed, by buckets and ids; a value that cannot be read is logged and left out.

        Args:
            progress: told how many buckets are done.

        Raises:
            StoreUnavailable: the store does not answer.
        """
        now_s = int(self.clock.now().timestamp())
        holds_s = {
            name: None if holds is None else int(holds.total_seconds()) for name, holds in self.holds.items()
        }
        # written by the service itself, so no dialogue says how long it holds: as long as the test that it closed
        holds_s.setdefault(CLOSED, holds_s.get("lot.test_day"))
        for bucket in range(BUCKETS):
            settled = self.store.settled(bucket)
            for first in range(0, len(settled), STEP):
                found = self.store.values(settled[first : first + STEP])
                self.damage.met(*found.damaged)
                for valued in found.taken:
                    try:
                        seen = seen_of(valued.grower, valued.value, holds_s, now_s)
                    except Exception as error:
                        log_event("survey", level=logging.ERROR, grower=valued.grower, place=place_of(error))
                        continue
                    if seen is None:
                        continue
                    if is_growers(seen.number, (name for name, _ in seen.facts), self.own_phones):
                        yield seen
            progress(bucket + 1)


def seen_of(grower: str, value: bytes, holds_s: Mapping[str, int | None], now_s: int) -> Seen | None:
    """What the lists see of a stored value, without making the whole record of it.

    Args:
        grower: id of the grower.
        value: what is stored.
        holds_s: how long each fact holds [s], None for ever.
        now_s: the moment, Unix seconds.

    Returns:
        None for who has not agreed.

    Raises:
        NewerSchema: a newer version wrote it.

    >>> ann = seen_of("a", b'{"v":1,"r":{"n":"+99900112233","a":0,"f":{"lot.test":[9,[45,50]]}}}', {}, 60)
    >>> ann.lots[0].test.grown, ann.lots[0].tested.second, ann.number
    (45, 9, '+99900112233')
    """
    found = msgspec.json.decode(value)
    if found["v"] not in READABLE:
        raise NewerSchema(found["v"])
    record = found.get("r")
    if record is None or not record.get("n") or "a" not in record:
        return None
    stored: dict[str, list[Any]] = record.get("f", {})
    asked = [seconds for seconds, _ in record.get("q", ())]
    told_s = max((record["a"], *asked, *(fact[0] for name, fact in stored.items() if name != CLOSED)))
    facts = _fresh(stored, holds_s, now_s)
    plots, plot = _all_of(record, "plot", facts, holds_s, now_s)
    lots, lot = _all_of(record, "lot", facts, holds_s, now_s)
    return Seen(
        grower=grower,
        village=str(_value(facts, "grower.village") or ""),
        number=record["n"],
        stopped=_moment(record["x"]) if "x" in record else None,
        told=_moment(told_s),
        plots=tuple(map(_plot, plots)),
        plot=plot,
        lots=tuple(map(_lot, lots, bag_numbers(_value(of, BAG) for of in lots))),
        lot=lot,
        asked=tuple(map(_moment, asked)),
        facts=tuple(_as_rounds_see(facts, lots, lot, holds_s).items()),
        passed=tuple((key, tuple(marks)) for key, marks in record.get("p", {}).items()),
    )


def _as_rounds_see(
    facts: _Facts, lots: Sequence[_Facts], lot: int, holds_s: Mapping[str, int | None]
) -> dict[str, object]:
    """What a round goes by: what is known and fresh, of several bags what is of each, and whether it is sown."""
    known = {name: told for name, (_, told) in facts.items()}
    if SOWING in facts and (sown := sown_on(facts[SOWING][1], facts[SOWING][0])):
        known[SOWN] = sown
    if len(lots) > 1:
        each = [{name: fact[1] for name, fact in of.items() if name.startswith("lot.")} for of in lots]
        numbers = bag_numbers(of.get(BAG) for of in each)
        bags = bags_that_count(tuple(zip(numbers, each, strict=True)), lot, holds_s)
        known |= {BAGS: bags} if bags else {}
    return known


def _fresh(stored: _Facts, holds_s: Mapping[str, int | None], now_s: int) -> _Facts:
    return {
        name: fact
        for name, fact in stored.items()
        if (holds := holds_s.get(name)) is None or now_s - fact[0] <= holds
    }


def _all_of(
    record: Mapping[str, Any], scope: str, facts: _Facts, holds_s: Mapping[str, int | None], now_s: int
) -> tuple[list[_Facts], int]:
    """Facts of each plot or lot in their order, and the place of the one in hand."""
    aside = record.get("o", {}).get(scope)
    if aside is None:
        return [facts], 0
    place, *others = aside
    fresh = [_fresh(other, holds_s, now_s) for other in others]
    return [*fresh[:place], facts, *fresh[place:]], place


def _value(facts: _Facts, name: str) -> Any:
    fact = facts.get(name)
    return None if fact is None else fact[1]


def _plot(facts: _Facts) -> SeenPlot:
    area_m2, (learnt_s, sowing) = _value(facts, "plot.area"), facts.get(SOWING, (0, None))
    return SeenPlot(
        area_m2=None if area_m2 is None else float(area_m2),
        sowing=_day(sowing),
        spacing=str(_value(facts, "plot.spacing") or ""),
        bag=_value(facts, BAG_OF_FIELD),
        sown=sown_on(sowing, learnt_s) is not None,
    )


def _lot(facts: _Facts, number: int) -> SeenLot:
    counted, closed, chosen = facts.get("lot.test"), facts.get(CLOSED), facts.get(TO_SOW)
    seen = SeenLot(
        origin=str(_value(facts, "lot.origin") or ""),
        begun=_day(_value(facts, "lot.test_day")),
        number=number,
        sown=_value(facts, "lot.test_sown"),
        early=_value(facts, "lot.early"),
        to_sow=None if chosen is None else _moment(chosen[0]),
    )
    if counted is not None:
        grown, sown = counted[1]
        method = Method(_value(facts, "lot.method") or Method.PAPER)
        return replace(seen, test=SeedTest(grown, sown, method), tested=_moment(counted[0]))
    if closed is not None and closed[0] >= facts.get("lot.test_day", (0,))[0]:
        return replace(seen, closed=str(closed[1]), closed_at=_moment(closed[0]))
    return seen


def _day(value: object) -> date | None:
    return date.fromisoformat(value) if isinstance(value, str) else None


def _moment(seconds: int) -> datetime:
    return datetime.fromtimestamp(seconds, UTC)
