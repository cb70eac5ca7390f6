"""What must hold on each day of a season, by what growers did and what left."""

from __future__ import annotations

import logging
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from advisor.campaign.rounds import Round
from advisor.records.grower import Grower
from advisor.records.several import all_of, place_in_hand
from advisor.service.figures import village_figures
from advisor.service.stored import from_bytes
from advisor.store.recount import Difference, recount
from tests.season.changed import Changed, Tally
from tests.season.clock import VirtualClock
from tests.season.timely import COOL, HILLS, SEED_TEST, Sent, Timely
from tests.whole.faults.judge import Night

if TYPE_CHECKING:
    from tests.season.phones import Phone
    from tests.season.world import Left, World

NIGHT = Night(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30))
HOLIDAYS = frozenset({date(2027, 1, 1), date(2027, 12, 25), date(2028, 1, 1)})
#: A test is closed eleven days after it was put out, as much later as cool soil stretches a test at the most.
_LONGEST_TEST = timedelta(days=22)
#: Nine days before sowing a test comes too late, earlier by as much as cool soil stretches it.
_LAST_DAY = timedelta(days=9)
#: Nobody is put on the list later than so long after the day for it.
_CLOSES_FOR = timedelta(days=21)
_GRACE, _DAY = timedelta(days=3), timedelta(days=1)
#: For so long the day of a test holds; nobody asks for its count after that, and the seed is as good as untested.
_HELD = timedelta(days=60)
#: For so long a gateway takes a message with an id that it knows for the same one. Of somebody who was erased and
#: is back in a round an id comes again, and is another message when that is later.
_KNOWN = timedelta(hours=24)
#: So many messages of the round to a grower who answers.
PAID_MOST = 7
#: More of a kind than this say nothing more.
_FAULTS_MOST = 20


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that did not hold.

    Args:
        what: which of the promises: ``lost``, ``doubled``, ``quiet``, ``stopped``, ``figures``, …
        at: when it was seen.
        about: for people.
    """

    what: str
    at: str
    about: str


class Checks:
    """The judge of a season.

    Args:
        world: the service, whose store is read and nothing else of it.
        phones: all phones by their numbers, as the growers know them.
    """

    def __init__(self, world: World, phones: Mapping[str, Phone]) -> None:
        self._world, self._phones = world, phones
        self.faults: list[Fault] = []
        self.timely = Timely()
        self._ids: dict[str, datetime] = {}
        self._closed: dict[str, tuple[str, ...]] = {}
        self._villages = [village.key for village in world.book.programme.villages]
        self._zone_of = world.dialogues.zone_of
        self._changed = Changed(world.store)
        self._tally = Tally(world.store, world.dialogues.bands, self._villages)
        self._since = date.min
        self._meet: dict[date, dict[str, Phone]] = defaultdict(dict)

    def met(self, what: str, at: date, about: str) -> None:
        """Notes a fault."""
        if sum(one.what == what for one in self.faults) < _FAULTS_MOST:
            self.faults.append(Fault(what, at.isoformat(), about))

    def knows_round(self, found: Round, key: str, day: date) -> None:
        """A round was started."""
        self.timely.begins(found, key, day, self._phones.values())
        self._since = date.min

    def left(self, left: Left) -> Sent | None:
        """Judges a message that left; the step of a round that it is, None where it is none."""
        before = self._ids.get(left.oid)
        again = before is not None and left.at - before <= _KNOWN
        self._ids[left.oid] = left.at
        phone = self._phones.get(left.number)
        sent = self.timely.step_of(left, phone)
        if sent is None:
            return None
        if phone is None:
            self.met("lost", left.at, f"{sent.name} went to {left.number}, which nobody has")
            return sent
        phone.got[sent.name] += 1
        if phone.got[sent.name] > sent.times(phone) or again:
            self.met("doubled", left.at, f"{left.number} got {sent.name} {phone.got[sent.name]} times")
        at_s = left.at.timestamp()
        day = datetime.fromtimestamp(at_s, NIGHT.zone).date()
        if NIGHT.holds(at_s) or day in HOLIDAYS:
            self.met("quiet", left.at, f"{left.number} got {sent.name}")
        if phone.stopped or not phone.agreed:
            self.met("stopped", left.at, f"{left.number} got {sent.name}")
            return sent
        for what, about in self.timely.amiss(sent, phone, day):
            self.met(what, left.at, about)
        return sent

    def day_is_over(self, day: date) -> None:
        """All that must hold each day."""
        records = self._changed.look()
        # what was done after the look of the evening before is looked at today
        since, self._since = self._since, day
        for grower, record in records.items():
            self._tally.add(grower, record)
        stirred = [phone for phone in self._phones.values() if phone.grower in records or phone.stirred >= since]
        for phone in stirred:
            self._kept(phone, records.get(phone.grower) or self._record(phone), day)
        for phone in self._meet.pop(day, {}).values():
            self._closes(phone, day)
        for what, about in self.timely.day_is_over(stirred, day):
            self.met(what, day, about)
        self._differ(self._tally.differences(), day)

    def season_is_over(self, day: date, prompt: Iterable[Phone]) -> None:
        """All are looked at; who answers at once and to everything has got no more messages than are promised."""
        for phone in self._phones.values():
            self._kept(phone, self._record(phone), day)
        self._differ(recount(self._world.store, self._figures_of, self._villages), day)
        for phone in prompt:
            if any(self._closed.get(phone.grower, ())):
                self.met(
                    "open", day, f"{phone.number} has told all and is on the list: {self._closed[phone.grower]}"
                )
            paid = {name: times for name, times in phone.got.items() if name.startswith(f"{SEED_TEST} ")}
            if sum(paid.values()) > PAID_MOST:
                self.met("paid", day, f"{phone.number} got {sum(paid.values())}: {paid}")

    def _differ(self, differences: Iterable[Difference], day: date) -> None:
        for one in differences:
            self.met("figures", day, f"{one.village} {one.counter}: kept {one.kept}, counted {one.counted}")

    def _record(self, phone: Phone) -> Grower:
        return from_bytes(self._world.store.value(phone.grower)[1]).record

    def _kept(self, phone: Phone, record: Grower, day: date) -> None:
        """The record holds what she knows to have told."""
        phone.takes_up(place_in_hand(record, "lot"))
        facts = {fact.name: fact.value for fact in record.facts}
        # what is known of one bag alone stands among the rest
        bags = [facts]
        if record.aside:
            bags = [{fact.name: fact.value for fact in bag} for bag in all_of(record, "lot")]
        self._closed[phone.grower] = tuple([str(bag.get("lot.closed", "")) for bag in bags])
        self._closes(phone, day)
        if phone.agreed:
            self._apart(phone, bags, day)
        for name, value in phone.known.items() if phone.agreed else ():
            if facts.get(name) != value:
                self.met("lost", day, f"{phone.number} told {name} {value}, kept is {facts.get(name)}")
        if record.agreed is None and phone.agreed:
            self.met("lost", day, f"{phone.number} has agreed, and nothing is kept")
        if not phone.agreed:
            self._forgotten(phone, record, day)
        if phone.agreed and (record.stopped is not None) != phone.stopped:
            self.met("lost", day, f"{phone.number} stopped is {phone.stopped}, kept is {record.stopped}")
        if phone.agreed and record.number != phone.number:
            self.met("lost", day, f"the record of {phone.number} has another number")

    def _forgotten(self, phone: Phone, record: Grower, day: date) -> None:
        """Of who has not agreed, or not any more, nothing is kept but that she wants no messages."""
        if record.agreed is not None:
            self.met("returned", day, f"{phone.number} has not agreed, and is kept as if she had")
        if (
            record.number
            or record.facts
            or record.aside
            or record.passed
            or self._world.store.history(phone.grower)
        ):
            self.met("kept", day, f"of {phone.number}, who has not agreed, something is kept")

    def _apart(self, phone: Phone, kept: Sequence[Mapping[str, object]], day: date) -> None:
        """What was told of one bag of seed is kept of that one and of no other."""
        if phone.bags > len(kept):
            self.met("mixed", day, f"{phone.number} has {phone.bags} bags of seed, kept are {len(kept)}")
        for place, bag in enumerate(kept):
            told = phone.of_bag(place) if place != phone.bag else phone.known
            if place != phone.bag and any(bag.get(name) != value for name, value in told.items()):
                self.met("mixed", day, f"{phone.number} told {told} of bag {place + 1}, kept is {bag}")
            if bag.get("lot.test") != told.get("lot.test"):
                self.met("mixed", day, f"the test of bag {place + 1} of {phone.number} is {bag.get('lot.test')}")

    def _closes(self, phone: Phone, day: date) -> None:
        """What was begun is counted, or closed with the first look as a lower bound, or is on the agent's list.

        So is seed of her own that nobody tested by nine days before sowing. What was told late has days of grace;
        whoever wants no messages is left alone, and not taken up again weeks later. As long as nothing stirs her
        it is looked at again on the days on which one of these times is over.
        """
        began, closed = self.timely.tests_since(phone), self._closed[phone.grower]
        if not phone.agreed or phone.stopped or began is None:
            return
        rests = max(phone.touched, phone.back, began) + _GRACE
        for place, reason in enumerate(closed):
            bag = phone.known if place == phone.bag else phone.of_bag(place)
            self._closes_bag(phone, bag, reason, rests, day)

    def _closes_bag(self, phone: Phone, bag: Mapping[str, object], closed: str, rests: date, day: date) -> None:
        begun, sows = bag.get("lot.test_day"), phone.known.get("plot.sowing")
        put_out = date.fromisoformat(begun) if isinstance(begun, str) else None
        early = _LAST_DAY * COOL // _DAY * _DAY if self._is_cool(phone) else _LAST_DAY
        last = date.fromisoformat(sows) - early if isinstance(sows, str) else date.max - _GRACE - _LONGEST_TEST
        for over in (last, *([put_out + _LONGEST_TEST] if put_out is not None else ())):
            self._meets(phone, max(over + _GRACE + _DAY, rests), day)
        if day < rests:
            return
        if put_out is not None and day > put_out + _LONGEST_TEST + _GRACE and phone.back < put_out + _LONGEST_TEST:
            reason = "early_only" if "lot.early" in bag else "no_count"
            told = phone.learnt.get("lot.test_day")
            is_too_old = day > put_out + _HELD or (told is not None and told.date() > put_out + _LONGEST_TEST)
            if closed != reason and not (closed == "untested" and is_too_old):
                self.met("open", day, f"the test of {phone.number} of {put_out} is {closed or 'open'}")
        is_tested = put_out is not None or "lot.test" in bag or bag.get("lot.origin") == "bought"
        told = phone.learnt.get("plot.sowing")
        is_in_time = told is None or told.date() < last + _CLOSES_FOR
        is_over = day > last + _GRACE and phone.back < last + _CLOSES_FOR and is_in_time
        if is_over and not is_tested and not closed:
            self.met("open", day, f"{phone.number} sows {sows}, has not tested, and is on no list")

    def _is_cool(self, phone: Phone) -> bool:
        return self._zone_of.get(str(phone.known.get("grower.village"))) == HILLS

    def _meets(self, phone: Phone, then: date, day: date) -> None:
        if then > day:
            self._meet[then][phone.grower] = phone

    def _figures_of(self, value: bytes) -> list[tuple[str, str, int]]:
        village, counters = village_figures(from_bytes(value).record, self._world.dialogues.bands)
        return [(village, counter, 1) for counter in counters]


class Told(logging.Handler):
    """Notes what the service says of faults of its own.

    Args:
        checks: where they are noted.
        clock: what the time is.
    """

    def __init__(self, checks: Checks, clock: VirtualClock) -> None:
        super().__init__(logging.ERROR)
        self._checks, self._clock = checks, clock

    def emit(self, record: logging.LogRecord) -> None:
        self._checks.met("fault", self._clock.now(), record.getMessage())
