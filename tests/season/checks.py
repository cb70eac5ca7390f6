"""What must hold on each day of a season, by what growers did and what left."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from advisor.campaign.reading import DAY
from advisor.campaign.rounds import Round, Step
from advisor.service.figures import village_figures
from advisor.service.stored import from_bytes
from advisor.store.keys import outgoing_id
from advisor.store.recount import recount
from tests.whole.faults.judge import Night

if TYPE_CHECKING:
    from tests.season.phones import Phone
    from tests.season.world import Left, World

NIGHT = Night(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30))
HOLIDAYS = frozenset({date(2027, 1, 1), date(2027, 12, 25), date(2028, 1, 1)})
#: A test is closed eleven days after it was put out, as much later as cool soil stretches a test at the most.
_LONGEST_TEST = timedelta(days=22)
#: Nine days before sowing a test comes too late.
_LAST_DAY = timedelta(days=9)
_GRACE = timedelta(days=3)
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
        self._texts: list[tuple[re.Pattern[str], Step]] = []
        self._by_text: dict[str, Step] = {}
        self._own: list[Step] = []
        self._key = ""
        self._ids: Counter[str] = Counter()
        self._closed: dict[str, str] = {}
        self._seen: dict[str, tuple[int, bytes | None]] = {}
        self._figures: dict[bytes, list[tuple[str, str, int]]] = {}
        self._villages = [village.key for village in world.book.programme.villages]

    def met(self, what: str, at: date, about: str) -> None:
        """Notes a fault."""
        if sum(one.what == what for one in self.faults) < _FAULTS_MOST:
            self.faults.append(Fault(what, at.isoformat(), about))

    def knows_round(self, found: Round, key: str) -> None:
        """A round's messages are known by their texts, as to whoever reads them; a grower's own list by its id."""
        self._key = key
        self._texts = [
            (re.compile(re.escape(text).replace(re.escape(DAY), ".{1,20}")), step)
            for step in found.steps
            for _, text in step.texts
        ]
        self._own = [step for step in found.steps if step.says]

    def left(self, left: Left) -> Step | None:
        """Judges a message that left; the step of a round that it is, None where it is none."""
        self._ids[left.oid] += 1
        phone = self._phones.get(left.number)
        step = self._step_of(left, phone)
        if step is None:
            return None
        if phone is None:
            self.met("lost", left.at, f"{step.key} went to {left.number}, which nobody has")
            return step
        phone.got[step.key] += 1
        if phone.got[step.key] > step.times or self._ids[left.oid] > 1:
            self.met("doubled", left.at, f"{left.number} got {step.key} {phone.got[step.key]} times")
        at_s = left.at.timestamp()
        if NIGHT.holds(at_s) or datetime.fromtimestamp(at_s, NIGHT.zone).date() in HOLIDAYS:
            self.met("quiet", left.at, f"{left.number} got {step.key}")
        if phone.stopped or not phone.agreed:
            self.met("stopped", left.at, f"{left.number} got {step.key}")
        return step

    def _step_of(self, left: Left, phone: Phone | None) -> Step | None:
        known = self._by_text.get(left.text, ...)
        if known is ...:
            known = next((step for text, step in self._texts if text.fullmatch(left.text)), None)
            if known is not None:
                self._by_text[left.text] = known
        if known is None and phone is not None:
            ids = (outgoing_id(phone.grower, "round", self._key, step.key, "0") for step in self._own)
            return next((step for step, oid in zip(self._own, ids, strict=True) if oid == left.oid), None)
        return known

    def day_is_over(self, day: date) -> None:
        """All that must hold each day."""
        for phone in self._phones.values():
            self._kept(phone, day)
        for one in recount(self._world.store, self._figures_of, self._villages):
            self.met("figures", day, f"{one.village} {one.counter}: kept {one.kept}, counted {one.counted}")

    def season_is_over(self, day: date, prompt: Iterable[Phone]) -> None:
        """Who answers at once and to everything gets no more messages than are promised."""
        for phone in prompt:
            if self._closed.get(phone.grower):
                self.met(
                    "open", day, f"{phone.number} has told all and is on the list: {self._closed[phone.grower]}"
                )
            if phone.got.total() > PAID_MOST:
                self.met("paid", day, f"{phone.number} got {phone.got.total()}: {dict(phone.got)}")

    def _kept(self, phone: Phone, day: date) -> None:
        """The record holds what she knows to have told. One of the same version still does."""
        held = self._world.store.value(phone.grower)
        told = (phone.agreed, phone.stopped, len(phone.known), phone.calls)
        if self._seen.get(phone.grower) == (held[0], told):
            self._closes(phone, self._closed[phone.grower], day)
            return
        self._seen[phone.grower] = (held[0], told)
        record = from_bytes(held[1]).record
        facts = {fact.name: fact.value for fact in record.facts}
        self._closed[phone.grower] = str(facts.get("lot.closed", ""))
        self._closes(phone, self._closed[phone.grower], day)
        for name, value in phone.known.items() if phone.agreed else ():
            if facts.get(name) != value:
                self.met("lost", day, f"{phone.number} told {name} {value}, kept is {facts.get(name)}")
        if (record.agreed is not None) != phone.agreed:
            self.met("lost", day, f"{phone.number} agreed is {phone.agreed}, kept is {record.agreed}")
        if phone.agreed and (record.stopped is not None) != phone.stopped:
            self.met("lost", day, f"{phone.number} stopped is {phone.stopped}, kept is {record.stopped}")
        if phone.agreed and record.number != phone.number:
            self.met("lost", day, f"the record of {phone.number} has another number")

    def _closes(self, phone: Phone, closed: str, day: date) -> None:
        """What was begun is counted, or closed with the first look as a lower bound, or is on the agent's list.

        So is seed of her own that nobody tested by nine days before sowing. What was told late has days of grace;
        whoever wants no messages is left alone.
        """
        if not phone.agreed or phone.stopped or not self._key or day - phone.touched < _GRACE:
            return
        put_out, sows = phone.open_test, phone.known.get("plot.sowing")
        if put_out is not None and day > put_out + _LONGEST_TEST + _GRACE:
            reason = "early_only" if "lot.early" in phone.known else "no_count"
            if closed != reason:
                self.met("open", day, f"the test of {phone.number} of {put_out} is {closed or 'open'}")
        is_tested = put_out is not None or "lot.test" in phone.known or phone.known.get("lot.origin") == "bought"
        is_over = isinstance(sows, str) and day > date.fromisoformat(sows) - _LAST_DAY + _GRACE
        if is_over and not is_tested and not closed:
            self.met("open", day, f"{phone.number} sows {sows}, has not tested, and is on no list")

    def _figures_of(self, value: bytes) -> list[tuple[str, str, int]]:
        found = self._figures.get(value)
        if found is None:
            village, counters = village_figures(from_bytes(value).record, self._world.dialogues.bands)
            found = self._figures[value] = [(village, counter, 1) for counter in counters]
        return found
