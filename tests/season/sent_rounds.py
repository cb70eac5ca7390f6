"""Which rounds are sent in a season: when each begins, for whom, and when it is held."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.campaign.choosing import Chosen, as_text
from advisor.loading import load_round

#: The seed test begins late in the last village, for some of whom it is then too late.
_IN_TIME, _LATE = Chosen(villages=("v1", "v2", "v3", "v4", "v5")), Chosen(villages=("v6",))
_BEGINS, _BEGINS_LATE, _OVER = 24, 56, 128
#: The further rounds go on beside it, each from before its first message is due until it is over for most.
_FURTHER = {"buy_inputs": (40, 92), "pick_up": (52, 100), "follow_up": (58, 116), "nodules": (92, 150)}
_HARVEST = 138
#: Those that hang on rain wait for it from before it can begin.
_RAIN, _RAIN_OVER = 44, 132

RAIN = ("sow_now", "false_start")


@dataclass(frozen=True, slots=True)
class Begins:
    """A round of a season.

    Args:
        key: the name under which it is started.
        text: its file.
        day: day of the season on whose evening it is started.
        stops: day on whose evening it is stopped, None for never.
        held: pairs of days from the evening of the first of which to the evening of the second it is paused.
    """

    key: str
    text: str
    day: int
    stops: int | None = None
    held: tuple[tuple[int, int], ...] = ()

    @property
    def hangs_on_rain(self) -> bool:
        """Whether it is one of the rounds that rain sets going."""
        return self.key in RAIN


def one_round(file: str = "seed_test", day: int = _BEGINS) -> tuple[Begins, ...]:
    """One round alone, for everybody."""
    return (Begins(file, load_round(file), day),)


def all_rounds() -> tuple[Begins, ...]:
    """All rounds of a season."""
    return (*rounds_of_days(), *rain_rounds())


def rounds_of_days() -> tuple[Begins, ...]:
    """The seed test, held for two days and in one village begun late; beside it all that go by the sowing day."""
    text = load_round("seed_test")
    return (
        Begins("season", text + as_text(_IN_TIME), _BEGINS, _OVER, held=((66, 68),)),
        Begins("late", text + as_text(_LATE), _BEGINS_LATE, _OVER),
        *(Begins(key, load_round(key), first, last) for key, (first, last) in _FURTHER.items()),
        Begins("harvest", load_round("harvest"), _HARVEST),
    )


def rain_rounds() -> tuple[Begins, ...]:
    """The rounds that hang on rain."""
    return tuple(Begins(key, load_round(key), _RAIN, _RAIN_OVER) for key in RAIN)
