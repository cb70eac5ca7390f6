"""A phone, and what whoever uses it knows to have told: what a record must hold, by the growers' own memory."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import date

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
        got: messages of the round since the last erase, by step.
        users: places of those who use it.
        calls: how many calls were made from it.
        asked: the screen of the newest question that nobody has answered, empty for none.
        touched: the day on which somebody last used it.
    """

    number: str
    grower: str
    agreed: bool = False
    stopped: bool = False
    known: dict[str, object] = field(default_factory=dict)
    got: Counter[str] = field(default_factory=Counter)
    users: list[int] = field(default_factory=list)
    calls: int = 0
    asked: str = ""
    touched: date = date.min

    def tells(self, said: Said) -> None:
        """What was said has been taken."""
        for name in said.forgets:
            self.known.pop(name, None)
        self.known.update(said.tells)

    def erased(self) -> None:
        """Nothing is known any more, and nothing is wanted."""
        self.agreed, self.stopped = False, False
        self.known.clear()
        self.got.clear()

    @property
    def open_test(self) -> date | None:
        """The day on which a test was put out that is not counted yet, as told."""
        day = self.known.get("lot.test_day")
        return date.fromisoformat(day) if isinstance(day, str) else None
