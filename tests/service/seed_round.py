"""A season for tests of rounds: the shipped dialogues, a clock that is moved, growers who answer by SMS."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from functools import cache, partial
from zoneinfo import ZoneInfo

from advisor.app import campaigns_of
from advisor.by_book import bands_of, dialogues_of, quiet_of
from advisor.dialogue.book import Book
from advisor.dialogue.step import step
from advisor.loading import load_book, load_round
from advisor.records.aside import BAG, next_bag
from advisor.records.grower import Grower
from advisor.records.several import all_of as every_of
from advisor.records.several import bags_of, begins
from advisor.service.campaigns import Campaigns
from advisor.service.clock import unix_ms
from advisor.service.damage import Damage
from advisor.service.figures import figure_changes
from advisor.service.inbound import Inbound
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change, RoundRow, RoundState
from advisor.store.memory import DictStore
from tests.service.campaigning import all_of, leave
from tests.service.stage import ANN, BANDS, IDS, StandingClock, grower_id, inbound, sms, ussd

ZONE = ZoneInfo("Etc/GMT-3")
#: The day on which growers of these tests mean to sow.
S = date(2026, 12, 1)


@cache
def book() -> Book:
    return load_book()


def at(day: int, clock: str = "07:00", sowing: date = S) -> datetime:
    """A moment so many days from the sowing."""
    return datetime.combine(sowing + timedelta(day), time.fromisoformat(clock), ZONE)


@dataclass(slots=True)
class Season:
    """One store, one clock, one round, and what reached each phone.

    Args:
        begins: the moment at which it begins.
        round: the round, a name of one that is shipped.
        starts: the moment at which the round is started.
    """

    begins: datetime
    round: str = "seed_test"
    text: str = ""
    store: DictStore = field(default_factory=DictStore)
    clock: StandingClock = field(init=False)
    campaigns: Campaigns = field(init=False)
    use: Inbound = field(init=False)
    inbox: list[tuple[datetime, str, str]] = field(default_factory=list)
    sent: int = 0

    def __post_init__(self) -> None:
        assert replace(bands_of(book()), own_phones=BANDS.own_phones) == BANDS
        self.clock = StandingClock(self.begins)
        damage = Damage(self.clock)
        quiet = quiet_of(book().programme)
        self.campaigns = campaigns_of(dialogues_of(book()), quiet, self.store, self.clock, IDS, damage)
        self.use = inbound(self.store, partial(step, book()), self.clock)

    def has(self, number: str = ANN, **facts: str | float | tuple[int, int]) -> None:
        """A grower who has agreed, with facts; ``plot_sowing`` for ``plot.sowing``."""
        record = Grower(number, agreed=self.clock.now())
        usual = {"grower_language": "en", "grower_village": "v1", "plot_sowing": S.isoformat()}
        for name, value in (usual | facts).items():
            record = record.knows(name.replace("_", ".", 1), value, self.clock.now())
        counts = figure_changes(Grower(), record, BANDS)
        now_ms = unix_ms(self.clock.now())
        self.store.commit(Change(grower_id(number), 0, to_bytes(Stored(record)), now_ms, counts=counts))

    def has_moved(self, sowing: date, number: str = ANN) -> None:
        """A grower means to sow on another day."""
        self.has_learnt("plot.sowing", sowing.isoformat(), number)

    def has_learnt(self, name: str, told: str | float | tuple[int, int], number: str = ANN) -> None:
        """Something more is known of a grower, from elsewhere."""
        version, value = self.store.value(grower_id(number))
        stored = from_bytes(value)
        record = stored.record.knows(name, told, self.clock.now())
        after = to_bytes(Stored(record, stored.session))
        self.store.commit(Change(grower_id(number), version, after, unix_ms(self.clock.now())))

    def has_another_bag(self, number: str = ANN, **facts: str | float | tuple[int, int]) -> None:
        """One more bag of seed, which is in hand from here on."""
        version, value = self.store.value(grower_id(number))
        stored = from_bytes(value)
        record = begins(stored.record, "lot").knows(BAG, next_bag(bags_of(stored.record)), self.clock.now())
        for name, told in facts.items():
            record = record.knows(name.replace("_", ".", 1), told, self.clock.now())
        counts = figure_changes(stored.record, record, BANDS)
        change = Change(
            grower_id(number), version, to_bytes(Stored(record)), unix_ms(self.clock.now()), counts=counts
        )
        self.store.commit(change)

    def breaks(self, name: str) -> None:
        """What is kept under an id is text that nobody can read."""
        version, _ = self.store.value(name)
        self.store.commit(Change(name, version, b"{", unix_ms(self.clock.now()), heard=False))

    def bags(self, number: str = ANN) -> dict[int, dict[str, object]]:
        """What is known of each bag of seed, by its number."""
        record = self.stored(number).record
        every = [{fact.name: fact.value for fact in facts} for facts in every_of(record, "lot")]
        return dict(zip(bags_of(record), every, strict=True))

    def start(self) -> None:
        text = self.text or load_round(self.round)
        row = RoundRow(self.round, RoundState.RUNNING, unix_ms(self.clock.now()), text.encode())
        assert self.store.start_round(row) is None

    def until(self, moment: datetime) -> list[str]:
        """Lets time go on, an hour or two at a time; the texts of the round that Ann got meanwhile."""
        before = len(self.inbox)
        while True:
            all_of(self.campaigns)
            self._hand_over()
            if self.clock.now() >= moment:
                return [text for _, number, text in self.inbox[before:] if number == ANN]
            self.clock.at += min(moment - self.clock.now(), timedelta(hours=2))

    def sms(self, typed: str, number: str = ANN) -> str:
        """What a grower gets who sends an SMS."""
        self.sent += 1
        self.use.take(sms(typed, id=f"s{self.sent}", number=number, at=self.clock.now()))
        found = leave(self.store, self.clock)
        return "\n--\n".join(text for (to, text) in found if to == number)

    def call(self, typed: str, number: str = ANN) -> None:
        """A key press on a call, whose page is of no interest here."""
        self.sent += 1
        self.use.take(ussd(typed, id=f"u{self.sent}", number=number, at=self.clock.now()))

    def stored(self, number: str = ANN) -> Stored:
        return from_bytes(self.store.value(grower_id(number))[1])

    def fact(self, name: str, number: str = ANN) -> object:
        found = self.stored(number).record.fact(name)
        return None if found is None else found.value

    def days(self, number: str = ANN) -> list[int]:
        """The days from the sowing on which something of the round came."""
        return [(moment.astimezone(ZONE).date() - S).days for moment, to, _ in self.inbox if to == number]

    def _hand_over(self) -> None:
        for (number, text), times in leave(self.store, self.clock).items():
            self.inbox += [(self.clock.now(), number, text)] * times
