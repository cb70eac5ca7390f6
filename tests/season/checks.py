"""What must hold on each day of a season, by what growers did and what left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from advisor.campaign.rounds import Round
from advisor.service.figures import village_figures
from advisor.service.stored import from_bytes
from advisor.store.recount import recount
from tests.whole.faults.judge import Night

if TYPE_CHECKING:
    from tests.season.phones import Phone
    from tests.season.world import Left, World

NIGHT = Night(ZoneInfo("Etc/GMT-3"), time(20), time(6, 30))
HOLIDAYS = frozenset({date(2027, 1, 1), date(2027, 12, 25), date(2028, 1, 1)})
#: More faults than this are one fault.
_FAULTS_MOST = 50


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
        self._steps: dict[str, tuple[str, str, int]] = {}
        self._ids: Counter[str] = Counter()
        self._seen: dict[str, tuple[int, bytes | None]] = {}
        self._figures: dict[bytes, list[tuple[str, str, int]]] = {}
        self._villages = [village.key for village in world.book.programme.villages]

    def met(self, what: str, at: date, about: str) -> None:
        """Notes a fault."""
        if len(self.faults) < _FAULTS_MOST:
            self.faults.append(Fault(what, at.isoformat(), about))

    def knows_round(self, found: Round, key: str) -> None:
        """A round's messages are known by their texts, as to whoever reads them."""
        for step in found.steps:
            for _, text in step.texts:
                self._steps[text] = (key, step.key, step.times)

    def left(self, left: Left) -> str | None:
        """Judges a message that left; the step of a round that it is, None where it is none."""
        self._ids[left.oid] += 1
        step = self._steps.get(left.text)
        if step is None:
            return None
        key, name, times = step
        phone = self._phones.get(left.number)
        if phone is None:
            self.met("lost", left.at, f"{name} went to {left.number}, which nobody has")
            return name
        phone.got[key, name] += 1
        if phone.got[key, name] > times or self._ids[left.oid] > 1:
            self.met("doubled", left.at, f"{left.number} got {name} {phone.got[key, name]} times")
        at_s = left.at.timestamp()
        if NIGHT.holds(at_s) or datetime.fromtimestamp(at_s, NIGHT.zone).date() in HOLIDAYS:
            self.met("quiet", left.at, f"{left.number} got {name}")
        if phone.stopped or not phone.agreed:
            self.met("stopped", left.at, f"{left.number} got {name}")
        return name

    def day_is_over(self, day: date) -> None:
        """All that must hold each day."""
        for phone in self._phones.values():
            self._kept(phone, day)
        for one in recount(self._world.store, self._figures_of, self._villages):
            self.met("figures", day, f"{one.village} {one.counter}: kept {one.kept}, counted {one.counted}")

    def season_is_over(self, day: date) -> None:
        """All that must hold in the end."""

    def _kept(self, phone: Phone, day: date) -> None:
        """The record holds what she knows to have told. One of the same version still does."""
        held = self._world.store.value(phone.grower)
        told = (phone.agreed, phone.stopped, len(phone.known), phone.calls)
        if self._seen.get(phone.grower) == (held[0], told):
            return
        self._seen[phone.grower] = (held[0], told)
        record = from_bytes(held[1]).record
        facts = {fact.name: fact.value for fact in record.facts}
        for name, value in phone.known.items() if phone.agreed else ():
            if facts.get(name) != value:
                self.met("lost", day, f"{phone.number} told {name} {value}, kept is {facts.get(name)}")
        if (record.agreed is not None) != phone.agreed:
            self.met("lost", day, f"{phone.number} agreed is {phone.agreed}, kept is {record.agreed}")
        if phone.agreed and (record.stopped is not None) != phone.stopped:
            self.met("lost", day, f"{phone.number} stopped is {phone.stopped}, kept is {record.stopped}")
        if phone.agreed and record.number != phone.number:
            self.met("lost", day, f"the record of {phone.number} has another number")

    def _figures_of(self, value: bytes) -> list[tuple[str, str, int]]:
        found = self._figures.get(value)
        if found is None:
            village, counters = village_figures(from_bytes(value).record, self._world.dialogues.bands)
            found = self._figures[value] = [(village, counter, 1) for counter in counters]
        return found
