"""What a round needs of the dialogues to speak to a grower, as callables; the wiring binds them to a book."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from advisor.dialogue.talk import Session
from advisor.records.grower import Grower
from advisor.records.sown import SOWING, SOWN, sown_on


@dataclass(frozen=True, slots=True)
class Speech:
    """How a round speaks.

    Args:
        asks: the conversation of a grower to whom a screen is put, None where it cannot be asked now.
        says: a grower's own result by keyword, None where too little is known.
        day: a day, ``2027-11-20``, as a language says it.
        fresh_for: for how long facts hold, None for ever, as does a fact that is not named.
        slowed_by: pairs of village and factor by which its cool soil stretches the days of a seed test.
    """

    asks: Callable[[Grower, str, datetime], Session | None] = lambda _known, _screen, _now: None
    says: Callable[[Grower, str, datetime], str | None] = lambda _known, _keyword, _now: None
    day: Callable[[str, str], str] = lambda _language, day: day
    fresh_for: Mapping[str, timedelta | None] = field(default_factory=dict)
    slowed_by: tuple[tuple[str, float], ...] = ()

    def facts(self, record: Grower, now: datetime) -> dict[str, object]:
        """What is known of a grower and fresh, by name."""
        fresh = [fact for fact in record.facts if fact.is_fresh(now, self.fresh_for.get(fact.name))]
        facts: dict[str, object] = {fact.name: fact.value for fact in fresh}
        sown = [sown_on(fact.value, fact.learnt.timestamp()) for fact in fresh if fact.name == SOWING]
        return facts | {SOWN: sown[0]} if any(sown) else facts
