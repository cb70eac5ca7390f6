"""What a round needs of the dialogues to speak to a grower, as callables; the wiring binds them to a book."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from advisor.campaign.deciding import Running, Window
from advisor.campaign.reading import DAY
from advisor.campaign.rounds import BAGS, OnDay
from advisor.dialogue.held import LANGUAGE
from advisor.dialogue.talk import Session
from advisor.records.facts import Fact
from advisor.records.grower import Grower
from advisor.records.own_phones import is_growers
from advisor.records.several import all_of, bags_of, place_in_hand
from advisor.records.sown import SOWING, SOWN, sown_on
from advisor.service.figures import Bands


@dataclass(frozen=True, slots=True)
class Speech:
    """How a round speaks.

    Args:
        asks: the conversation of a grower to whom a screen is put, None where it cannot be asked now.
        says: a grower's own result by keyword, None where too little is known.
        day: a day, ``2027-11-20``, as a language says it.
        fresh_for: for how long facts hold, None for ever, as does a fact that is not named.
        slowed_by: pairs of village and factor by which its cool soil stretches the days of a seed test.
        bands: edges of the village figures, which go by the bag of seed in hand; None where nothing is counted.
        own_phones: numbers of the phones that agents work from, which are in no round by themselves.
    """

    asks: Callable[[Grower, str, datetime], Session | None] = lambda _known, _screen, _now: None
    says: Callable[[Grower, str, datetime], str | None] = lambda _known, _keyword, _now: None
    day: Callable[[str, str], str] = lambda _language, day: day
    fresh_for: Mapping[str, timedelta | None] = field(default_factory=dict)
    slowed_by: tuple[tuple[str, float], ...] = ()
    bands: Bands | None = None
    own_phones: frozenset[str] = frozenset()

    def may_hear(self, record: Grower) -> bool:
        """Whether a round has anything for somebody: a grower who has agreed and wants messages."""
        wants = record.agreed is not None and record.stopped is None and bool(record.number)
        return wants and is_growers(record.number, (fact.name for fact in record.facts), self.own_phones)

    def text(self, running: Running, record: Grower, window: Window, now: datetime, language: str) -> str:
        """The text of a message of a round.

        Args:
            running: the round.
            record: what is known of the grower.
            window: the step, and the bag of seed that it is about.
            now: the moment.
            language: language of a grower who has not chosen one.
        """
        step, known = window.step, record.fact(LANGUAGE)
        own = self.says(record, step.says, now) if step.says else None
        if own is not None:
            return own
        spoken = str(known.value) if known is not None else language
        text = step.text(spoken, *window.bags[:1])
        if DAY not in text or not isinstance(step.when, OnDay):
            return text
        day = running.with_rains({fact.name: fact.value for fact in record.facts}).get(step.when.anchor)
        return text if day is None else text.replace(DAY, self.day(spoken, str(day)))

    def facts(self, record: Grower, now: datetime) -> dict[str, object]:
        """What is known of a grower and fresh, by name; of several bags of seed under `BAGS` what is of each."""
        known = self._fresh(record.facts, now)
        sown = [
            sown_on(fact.value, fact.learnt.timestamp())
            for fact in record.facts
            if fact.name == SOWING and SOWING in known
        ]
        if any(sown):
            known[SOWN] = sown[0]
        if not any(aside.scope == "lot" for aside in record.aside):
            return known
        lots, in_hand = all_of(record, "lot"), place_in_hand(record, "lot")
        each = [self._fresh(lot, now) for lot in lots]
        bags = bags_that_count(tuple(zip(bags_of(record), each, strict=True)), in_hand, self.fresh_for)
        return {**known, BAGS: bags} if bags else known

    def _fresh(self, facts: Iterable[Fact], now: datetime) -> dict[str, object]:
        return {fact.name: fact.value for fact in facts if fact.is_fresh(now, self.fresh_for.get(fact.name))}


def bags_that_count(
    bags: Sequence[tuple[int, Mapping[str, object]]], in_hand: int, fresh_for: Mapping[str, object]
) -> tuple[tuple[int, Mapping[str, object]], ...]:
    """Of a grower's bags of seed those of which something still holds, and the one in hand, by their numbers.

    Args:
        bags: of each its number and what is fresh of it.
        in_hand: the place of the one in hand.
        fresh_for: the facts that dialogues keep; others, such as a bag's number, say nothing of the seed in it.

    Returns:
        None where there is but one, since nobody need be told which.

    >>> bags_that_count(((1, {}), (3, {"lot.bag": 3}), (2, {"lot.origin": "saved"})), 0, {"lot.origin": None})
    ((1, {}), (2, {'lot.origin': 'saved'}))
    """
    found = [
        bag for place, bag in enumerate(bags) if place == in_hand or not fresh_for.keys().isdisjoint(bag[1].keys())
    ]
    return tuple(sorted(found, key=lambda bag: bag[0])) if len(found) > 1 else ()
