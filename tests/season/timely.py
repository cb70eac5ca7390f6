"""Messages of rounds as whoever reads them knows them: which it is, whether it came at all, and in its time."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from operator import itemgetter
from typing import TYPE_CHECKING

from advisor.campaign.reading import DAY
from advisor.campaign.rounds import START, ZONE_ANCHORS, After, OnDay, Round, Step
from advisor.store.keys import outgoing_id

if TYPE_CHECKING:
    from tests.season.phones import Phone
    from tests.season.world import Left

SEED_TEST = "seed_test"
_SOWS = "plot.sowing"
#: Cool soil stretches the days of a test so many times at the most.
SLOWEST = 2
#: The zone of the demonstration programme whose soil is cool, and how many times longer a test takes there.
HILLS, COOL = "hills", 1.25
#: Stands in a text for the bag of seed that it is about.
_BAG = "%(bag)s"
#: A holiday puts a message off by a day.
_PUT_OFF = timedelta(days=1)
#: Rains begin so many times at the most.
BEGINNINGS_MOST = 9
#: Texts are looked up by so many of their first signs.
_BEGINS = 8


@dataclass(frozen=True, slots=True)
class Sent:
    """A step of a round that was started.

    Args:
        round: the round.
        key: the name under which it was started.
        began: the day on which it was.
        step: the step.
    """

    round: Round
    key: str
    began: date
    step: Step

    @property
    def name(self) -> str:
        """Round and step; one round that is started twice, for different growers, is the same."""
        return f"{self.round.key} {self.step.key}"

    def is_for(self, phone: Phone) -> bool:
        """Whether the round was started for the village of a phone."""
        return not self.round.chosen.villages or phone.known.get("grower.village") in self.round.chosen.villages

    def times(self, phone: Phone) -> int:
        """How often it may come: for each bag of seed where it is about one, for each beginning of the rains."""
        if self.hangs_on_rain:
            return BEGINNINGS_MOST
        return self.step.times * (phone.bags if getattr(self.step, "each_bag", False) else 1)

    def days(self, anchor: date) -> tuple[date, date]:
        """The first and the last day on which it is of use.

        Args:
            anchor: the day that it is counted from.
        """
        step, when = self.step, self.step.when
        if isinstance(when, After):
            first = last = self.began
            last += step.good_for + _PUT_OFF
            return first, last
        # what lies before the day that it is counted from comes the earlier for cool soil, else the later
        slow = SLOWEST if when.slowed else 1
        first = anchor + timedelta(days=min(when.day, when.day * slow))
        latest = anchor + timedelta(days=max(when.day, when.day * slow))
        at = datetime.combine(latest, when.at) + step.good_for + _PUT_OFF
        moved = (step.times - 1) * step.every_days + (step.later.days if step.later else 0)
        return first, at.date() + timedelta(days=moved)

    @property
    def hangs_on_rain(self) -> bool:
        """Whether its day is one of the rains; `rain_told` judges it."""
        return isinstance(self.step.when, OnDay) and self.step.when.anchor in ZONE_ANCHORS

    @property
    def is_for_all(self) -> bool:
        """Whether whoever has told a day to sow gets it, whatever else is known."""
        step, when = self.step, self.step.when
        is_plain = not (step.unless or step.only or step.started or step.closes or step.later)
        return is_plain and isinstance(when, OnDay) and when.anchor == _SOWS


class Timely:
    """Knows the rounds of a season."""

    def __init__(self) -> None:
        self._texts: dict[str, list[tuple[int, re.Pattern[str], Sent]]] = defaultdict(list)
        self._by_text: dict[str, tuple[Sent, ...]] = {}
        self._own: list[Sent] = []
        self._for_all: list[Sent] = []
        self._held: list[tuple[str, date, date]] = []
        self._paused: dict[str, date] = {}
        self._steady: dict[str, tuple[tuple[object, ...], date]] = {}
        self._expected: dict[date, list[tuple[Phone, tuple[object, ...], Sent, date]]] = defaultdict(list)
        self._seed_tests: list[Sent] = []

    def begins(self, found: Round, key: str, day: date, phones: Iterable[Phone]) -> None:
        """A round was started; its messages are known by their texts, a grower's own list by its id."""
        sent = [Sent(found, key, day, step) for step in found.steps]
        self._seed_tests += sent[:1] if found.key == SEED_TEST else []
        self._by_text.clear()
        for one in sent:
            for _, text in (*one.step.texts, *getattr(one.step, "of_bag", ())):
                begins = text.partition("%(")[0][:_BEGINS]
                shown = re.escape(text).replace(re.escape(DAY), ".{1,20}").replace(re.escape(_BAG), "[1-9]")
                pattern = re.compile(shown)
                place = sum(map(len, self._texts.values()))
                self._texts[begins if len(begins) == _BEGINS else ""].append((place, pattern, one))
        self._own += [one for one in sent if one.step.says]
        news = [one for one in sent if one.is_for_all]
        self._for_all += news
        for phone in phones:
            self._expects(phone, news)

    def pauses(self, key: str, day: date) -> None:
        """A round is held or stopped from now on."""
        self._paused[key] = day

    def goes_on(self, key: str, day: date) -> None:
        """It goes on from now on."""
        self._held.append((key, self._paused.pop(key), day))

    def tests_since(self, phone: Phone) -> date | None:
        """The day on which the seed test began for the village of a phone, None while it has not."""
        return next((one.began for one in self._seed_tests if one.is_for(phone)), None)

    def step_of(self, left: Left, phone: Phone | None) -> Sent | None:
        """The step that a message is, None where it belongs to no round."""
        known = self._by_text.get(left.text)
        if known is None:
            like = sorted((*self._texts.get(left.text[:_BEGINS], ()), *self._texts.get("", ())), key=itemgetter(0))
            known = tuple(one for _, text, one in like if text.fullmatch(left.text))
            self._by_text[left.text] = known
        if phone is None:
            return next(iter(known), None)
        here = [one for one in known if one.is_for(phone)] or known or self._own
        if len(here) == 1 and known:
            return here[0]
        # two rounds ask the same in the same words, or it is a grower's own list
        ids = ((one, outgoing_id(phone.grower, "round", one.key, one.step.key, "0")) for one in here)
        return next((one for one, oid in ids if oid == left.oid), next(iter(known), None))

    def amiss(self, sent: Sent, phone: Phone, day: date) -> Iterator[tuple[str, str]]:
        """What is wrong with a message that left on a day: kind and words."""
        if sent.key in self._paused:
            yield "paused", f"{sent.name} left while {sent.key} was held"
        when = sent.step.when
        if sent.hangs_on_rain:
            return
        anchors = [sent.began] if isinstance(when, After) or when.anchor == START else phone.days(when.anchor, day)
        spans = [sent.days(anchor) for anchor in anchors]
        if not any(first <= day <= last for first, last in spans):
            yield "untimely", f"{phone.number} got {sent.name} on {day}, not in {[*map(str, anchors)]}"
        started = sent.step.started
        if started is not None:
            late_by = [(sent.began - sows).days for sows in phone.days(started.anchor, day)]
            edges = [started.days(slow) for slow in (1, SLOWEST)]
            first, last = min(edge for edge, _ in edges), max(edge for _, edge in edges)
            if not any(first <= days <= last for days in late_by):
                yield "untimely", f"{phone.number} got {sent.name}, started {late_by} days after the sowing"

    def day_is_over(self, phones: Iterable[Phone], day: date) -> Iterator[tuple[str, str]]:
        """What should have come by now: to each whom it is for, unless something of hers has changed meanwhile."""
        for phone in phones:
            state = _state(phone)
            steady = self._steady.get(phone.grower)
            if steady is None or steady[0] != state:
                self._steady[phone.grower] = (state, day)
                self._expects(phone, self._for_all)
        for phone, state, sent, first in self._expected.pop(day, ()):
            now, since = self._steady[phone.grower]
            held = [*self._held, *((key, since, day) for key, since in self._paused.items())]
            is_held = any(key == sent.key and begins <= day and first <= ends for key, begins, ends in held)
            is_over = phone.sown and isinstance(sent.step.when, OnDay) and sent.step.when.day < 0
            if is_over:
                continue
            if now == state and since < first and sent.began < first and not is_held and not phone.got[sent.name]:
                yield "unsent", f"{phone.number} never got {sent.name}, which was due from {first} on"

    def _expects(self, phone: Phone, sents: Iterable[Sent]) -> None:
        state = _state(phone)
        sows = phone.known.get(_SOWS)
        if not (phone.agreed and isinstance(sows, str)) or phone.stopped:
            return
        for sent in sents:
            if sent.is_for(phone):
                first, last = sent.days(date.fromisoformat(sows))
                self._expected[last + timedelta(days=1)].append((phone, state, sent, first))


def _state(phone: Phone) -> tuple[object, ...]:
    return phone.agreed, phone.stopped, phone.number, phone.known.get(_SOWS), phone.known.get("grower.village")
