"""What a programme makes of a table of growers: its names, units, days and forms of numbers, and its schema."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from advisor.agronomy.labels import Label
from advisor.agronomy.programme import Programme
from advisor.agronomy.units import AREA_M2, HECTARE_M2
from advisor.records.rows_reading import Terms
from advisor.records.rows_schema import table_schema
from advisor.service.numbers import Dialling
from advisor.wording.folding import folded


@dataclass(frozen=True, slots=True)
class Days:
    """Days of a place.

    Args:
        zone: its time zone.
    """

    zone: tzinfo

    def begins(self, day: date) -> datetime:
        """The moment at which a day begins, in UTC."""
        return _begins(self.zone, day)

    def day_of(self, moment: datetime) -> date:
        """The day of a moment."""
        return moment.astimezone(self.zone).date()


@lru_cache(maxsize=4096)
def _begins(zone: tzinfo, day: date) -> datetime:
    return datetime.combine(day, time(), zone).astimezone(UTC)


def terms_of(programme: Programme, now: datetime) -> Terms:
    """What a programme makes of the cells of a table.

    Args:
        programme: the programme.
        now: the moment of the import.
    """
    today = Days(ZoneInfo(programme.time_zone)).day_of(now)
    return Terms(
        today=today,
        # a day more than that, and the record would be erased for its age as soon as it is there
        oldest=today - timedelta(days=programme.retention_days - 1),
        languages=programme.languages,
        villages=villages_by_name(programme),
        agents=_keys((agent.key, agent.label) for agent in programme.agents) or None,
        units=_units(programme),
        area_low_m2=programme.plot_low_m2,
        area_high_m2=programme.plot_high_m2,
        fold=folded,
        e164=Dialling(programme.country_code, programme.trunk_prefix, programme.number_length).e164,
        own_phones=own_phones(programme),
    )


def schema_of(programme: Programme) -> dict[str, Any]:
    """The Table Schema of the list of growers in a programme."""
    trunk = f" behind {programme.trunk_prefix}" if programme.trunk_prefix else ""
    return table_schema(
        f"{programme.number_length} digits{trunk}",
        programme.languages,
        _names((village.key, village.label) for village in programme.villages),
        _names((agent.key, agent.label) for agent in programme.agents),
        tuple(_units(programme)),
    )


def called(programme: Programme) -> dict[str, dict[str, str]]:
    """What keys of facts are called in a table, by fact."""
    return {
        "grower.village": {village.key: village.label.default for village in programme.villages},
        "grower.agent": {agent.key: agent.label.default for agent in programme.agents},
    }


def own_phones(programme: Programme) -> frozenset[str]:
    """Numbers of the phones that agents work from."""
    return frozenset(agent.number for agent in programme.agents)


def villages_by_name(programme: Programme) -> dict[str, str]:
    """Keys of the villages by each of their folded names, and by themselves."""
    return _keys((village.key, village.label) for village in programme.villages)


def _units(programme: Programme) -> dict[str, float]:
    local = {folded(name): unit.m2 for unit in programme.land.units for name in _forms(unit.key, unit.label)}
    return {**local, **AREA_M2, "ha": HECTARE_M2}


def _keys(named: Iterable[tuple[str, Label]]) -> dict[str, str]:
    return {folded(name): key for key, label in named for name in _forms(key, label)}


def _names(named: Iterable[tuple[str, Label]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for key, label in named for name in _forms(key, label)))


def _forms(key: str, label: Label) -> tuple[str, ...]:
    return (label.default, key, *(name for _, name in label.by_language))
