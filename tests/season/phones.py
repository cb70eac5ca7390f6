"""A phone, and what whoever uses it knows to have told: what a record must hold, by the growers' own memory."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from tests.season.minds import Said


@dataclass(slots=True)
class Phone:
    """One number and one record.

    Args:
        number: its number now.
        grower: the id of its record, which stays when the number changes.
        agreed: whether anything is kept.
        stopped: whether no more messages are wanted.
        known: the facts that were told and taken, by name.
        before: of facts that were told anew or forgotten, what they were.
        learnt: when a fact was told, of those told on the phone or by an agent.
        got: messages of rounds since the last erase, by round and step.
        users: places of those who use it.
        calls: how many calls were made from it.
        asked: the screen of the newest question that nobody has answered, empty for none.
        asked_at: when that came.
        bag: place of the bag of seed that is in hand, from 0.
        touched: the day on which somebody last used it.
        back: the day on which messages were last wanted again.
        sown: whether a day of sowing was told that had come: what of a round was for before it is over for good.
        stirred: the day on which anything of hers was last done or told.
    """

    number: str
    grower: str
    agreed: bool = False
    stopped: bool = False
    known: dict[str, object] = field(default_factory=dict)
    before: dict[str, object] = field(default_factory=dict)
    learnt: dict[str, datetime] = field(default_factory=dict)
    got: Counter[str] = field(default_factory=Counter)
    users: list[int] = field(default_factory=list)
    calls: int = 0
    asked: str = ""
    asked_at: datetime | None = None
    bag: int = 0
    touched: date = date.min
    back: date = date.min
    sown: bool = False
    stirred: date = date.min
    _aside: dict[int, dict[str, object]] = field(default_factory=dict)

    def tells(self, said: Said, at: datetime) -> None:
        """What was said at a moment has been taken."""
        for name in said.forgets:
            if name in self.known:
                self.before[name] = self.known.pop(name)
        sowing = said.tells.get("plot.sowing")
        self.sown = self.sown or (isinstance(sowing, str) and sowing <= at.date().isoformat())
        for name, value in said.tells.items():
            if (was := self.known.get(name, value)) != value:
                self.before[name] = was
            self.known[name] = value
            self.learnt[name] = at

    def takes_up(self, place: int) -> None:
        """Another bag of seed is in hand: what is known of the one before is put aside."""
        if place != self.bag:
            self._aside[self.bag] = {name: self.known.pop(name) for name in self.of_bag(self.bag)}
            self.known.update(self._aside.pop(place, {}))
            self.bag = place

    def of_bag(self, place: int) -> dict[str, object]:
        """What is known of a bag of seed."""
        if place != self.bag:
            return self._aside.get(place, {})
        return {name: value for name, value in self.known.items() if name.startswith("lot.")}

    @property
    def bags(self) -> int:
        """How many bags are known, at least the one in hand."""
        return 1 + len(self._aside)

    def said_after(self, name: str, at: datetime) -> bool:
        """Whether a fact that is known was told later than that."""
        return name in self.known and name in self.learnt and self.learnt[name] > at

    def forgotten(self) -> None:
        """Nothing is known any more; who wanted no messages still wants none."""
        self.agreed, self.bag, self.sown = False, 0, False
        self.known.clear()
        self._aside.clear()
        self.before.clear()
        self.learnt.clear()
        self.got.clear()

    def erased(self, grower: str) -> None:
        """Nothing is known any more, and nothing is wanted; whoever comes again has a record of her own."""
        self.forgotten()
        self.grower = grower
        self.stopped = False

    def days(self, fact: str, today: date) -> list[date]:
        """The day that a fact holds; after a call the one before too, since a message may be on its way."""
        found = [self.known.get(fact)]
        if today - self.touched <= timedelta(days=1):
            found.append(self.before.get(fact))
        return [date.fromisoformat(day) for day in found if isinstance(day, str)]

    @property
    def open_test(self) -> date | None:
        """The day on which a test was put out that is not counted yet, as told."""
        day = self.known.get("lot.test_day")
        return date.fromisoformat(day) if isinstance(day, str) else None
