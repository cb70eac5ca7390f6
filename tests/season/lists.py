"""The agent's list of growers: each put in as she agrees, and the whole of it imported once more in mid-season."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from advisor.service.clock import rfc3339
from advisor.service.importing import Brought, Importing, check
from advisor.service.listing import Days, terms_of

if TYPE_CHECKING:
    from tests.season.world import World

_HEAD = "number;language;village;field_area;field_unit;told_on;consent_how;consent_on"
#: The fields that the agent has walked by then; a hectare is 10,000 m².
_AREAS_HA = (None, None, 0.25, 0.5, 1.0)
_HECTARE_M2 = 10_000.0
#: So often a grower stands in the list twice, and so often with the number as people here say it.
_TWICE, _LOCAL = 20, 7


@dataclass(frozen=True, slots=True)
class Listed:
    """One grower of the list.

    Args:
        place: hers.
        number: the number that the agent knows.
        day: the day on which she agreed and told the rest.
        facts: language and village.
    """

    place: int
    number: str
    day: date
    facts: dict[str, str]

    @property
    def area_m2(self) -> float | None:
        """The field that the agent writes beside her name later, None where none was walked."""
        area = _AREAS_HA[self.place % len(_AREAS_HA)]
        return None if area is None else area * _HECTARE_M2

    def line(self, *, walked: bool, local: bool = False) -> str:
        """Her line, with the area where fields have been walked."""
        number = f"0{self.number[4:]}" if local else self.number
        area = f"{self.area_m2 / _HECTARE_M2};ha" if walked and self.area_m2 is not None else ";"
        language, village = self.facts["grower.language"], self.facts["grower.village"]
        return f"{number};{language};{village};{area};{self.day};spoken;{self.day}"


class Lists:
    """Imports lists.

    Args:
        world: the service.
    """

    def __init__(self, world: World) -> None:
        self._world = world
        self.listed: list[Listed] = []

    def puts(self, place: int, number: str, day: date, facts: dict[str, str]) -> bool:
        """A list of one who has agreed; whether she is new."""
        one = Listed(place, number, day, facts)
        brought = self._import([one.line(walked=False)])
        if brought.new:
            self.listed.append(one)
        self._world.log.add(rfc3339(self._world.clock.now()), number, f"listed {brought.new}")
        return bool(brought.new)

    def again(self) -> Brought:
        """The whole list of before, some twice, with the fields that were walked since."""
        lines = [one.line(walked=True, local=one.place % _LOCAL == 0) for one in self.listed]
        lines += [one.line(walked=True) for one in self.listed if one.place % _TWICE == 0]
        brought = self._import(lines)
        self._world.log.add(
            rfc3339(self._world.clock.now()), f"list {brought.new} {brought.changed} {brought.same}"
        )
        return brought

    def _import(self, lines: Iterable[str]) -> Brought:
        world = self._world
        table = io.BytesIO("\n".join((_HEAD, *lines, "")).encode())
        checked = check(table, terms_of(world.book.programme, world.clock.now()))
        importing = Importing(
            world.store, world.clock, world.ids, world.dialogues.bands, Days(world.book.zone),
            timedelta(days=world.book.programme.retention_days),
        )  # fmt: skip
        return importing.bring_in(checked.rows)
