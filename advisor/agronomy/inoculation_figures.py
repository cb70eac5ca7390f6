"""What a programme sets about inoculating: the clocks of treated seed, the hours of sowing, what one person sows.

Two clocks run once seed is treated: it dries in the shade, and the bacteria die. Packs differ in when the
second one starts, at mixing or when the seed is dry, and that decides how much time is left to sow. Sowing has
a window in the morning and one in the evening; the heat around noon between them is not for sowing. All of it
is data, since carriers, climates and the speed of hands differ.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.tables import Table

_HOUR_S = 3600
_DAY_S = 24 * _HOUR_S
_NOON_S = 12 * _HOUR_S


class LifeStarts(StrEnum):
    """When the life of treated seed starts to run."""

    MIXED = "mixed"
    DRY = "dry"


@dataclass(frozen=True, slots=True)
class Handling:
    """How a product is handled, by its pack.

    Args:
        drying_s: time that treated seed takes to dry in the shade.
        life_s: time within which treated seed must be sown.
        life_starts: whether that time starts at mixing or when the seed is dry.
        bulk_g_per_ml: mass of a millilitre of the powder, loosely filled.
        store_below_c: warmest that a pack may get.
        over_dose: part by which a dose may be over before a coarse measure is too coarse, 0 or more.
    """

    drying_s: float
    life_s: float
    life_starts: LifeStarts
    bulk_g_per_ml: float
    store_below_c: float
    over_dose: float


@dataclass(frozen=True, slots=True)
class SowingWindow:
    """Hours of a day in which treated seed may be sown; none where it ends as it starts.

    Args:
        from_s: its start, in seconds after midnight.
        to_s: its end.
    """

    from_s: float
    to_s: float

    @property
    def length_s(self) -> float:
        """How long it is."""
        return self.to_s - self.from_s


@dataclass(frozen=True, slots=True)
class Inoculation:
    """What a programme sets for all inoculants.

    Args:
        morning: the window before the heat.
        evening: the window after it.
        person_m2_per_s: area that one person sows in a second.
    """

    morning: SowingWindow
    evening: SowingWindow
    person_m2_per_s: float


def read_handling(row: Table | None) -> Handling | None:
    """How a product is handled, from its table.

    Args:
        row: the table ``handling`` of an inoculant, None where it is left out.

    Returns:
        The figures, None where the table is left out.

    Raises:
        Nothing; faults are noted on the page of the table.

    Source:
        The project's own file format.

    >>> read_handling(None) is None
    True
    """
    if row is None:
        return None
    handling = Handling(
        drying_s=row.quantity("drying", "s", 0, _DAY_S),
        life_s=row.quantity("life", "s", 60, 14 * _DAY_S),
        life_starts=LifeStarts(row.one_of("life_starts", tuple(LifeStarts))),
        bulk_g_per_ml=row.quantity("bulk_density", "g/ml", 0.05, 3),
        store_below_c=row.quantity("store_below", "celsius", 4, 45),
        over_dose=row.quantity("over_dose", "1", 0, 10),
    )
    if handling.life_starts is LifeStarts.MIXED and handling.life_s <= handling.drying_s:
        row.contradiction(
            "life",
            f"is {handling.life_s:g} s from mixing, and the seed dries for {handling.drying_s:g} s",
            "give a longer life or a shorter drying, so that time to sow is left",
        )
    return handling


def read_inoculation(row: Table | None) -> Inoculation | None:
    """What a programme sets for all inoculants, from its table.

    Args:
        row: the table ``inoculation`` of a programme, None where it is left out.

    Returns:
        The figures, None where the table is left out.

    Raises:
        Nothing; faults are noted on the page of the table.

    Source:
        The project's own file format; times of day are hours after midnight.

    >>> read_inoculation(None) is None
    True
    """
    if row is None:
        return None
    morning = SowingWindow(
        row.quantity("morning_from", "s", 0, _NOON_S), row.quantity("morning_to", "s", 0, _NOON_S)
    )
    evening = SowingWindow(
        row.quantity("evening_from", "s", _NOON_S, _DAY_S), row.quantity("evening_to", "s", _NOON_S, _DAY_S)
    )
    inoculation = Inoculation(morning, evening, row.quantity("sown_by_one", "m2/s", 1e-4, 10))
    row.rising(("morning_from", morning.from_s), ("morning_to", morning.to_s))
    row.rising(("evening_from", evening.from_s), ("evening_to", evening.to_s))
    if morning.length_s + evening.length_s < _HOUR_S:
        row.contradiction(
            "evening_to",
            f"leaves {morning.length_s + evening.length_s:g} s of sowing a day in both windows",
            f"give them {_HOUR_S} s or more together",
        )
    return inoculation
