"""What an agent types on each screen: to open the work, to record something of a grower, to read a gauge."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date

from tests.season.minds import Stranger


@dataclass(slots=True)
class Errand:
    """Why an agent calls.

    Args:
        what: ``come``, ``sown``, ``first``, ``last``, ``field``, ``rain`` or ``tries``.
        pin: what is typed at the PIN, one after the other; the last one again and again.
        digits: what is typed for the grower, one after the other.
        language: place of the agent's own language.
        village: place of the village, of the gauge that is read or of the agent's first call.
        day: the day that is told.
        grown: a count.
        sown: how many seeds that is of.
        rain: days of rain that are still to be told, and what is typed for each.
    """

    what: str
    pin: list[str]
    digits: list[str] = field(default_factory=list)
    language: int = 0
    village: int = 0
    day: date = date.min
    grown: int = 0
    sown: int = 0
    rain: list[tuple[date, float]] = field(default_factory=list)

    @property
    def tells(self) -> tuple[dict[str, object], tuple[str, ...]]:
        """What is recorded once it is read back, and what is forgotten with it."""
        match self.what:
            case "sown":
                return {"lot.test_sown": self.sown, "lot.test_day": self.day.isoformat()}, ("lot.early",)
            case "first":
                return {"lot.early": self.grown}, ()
            case "last":
                return {"lot.test": (self.grown, self.sown)}, ("lot.test_day", "lot.test_sown", "lot.early")
            case _:
                return {"plot.sowing": self.day.isoformat()}, ()

    def says(self, spot: str) -> str | None:
        """What is typed on a screen, None where the call is over.

        Raises:
            Stranger: nobody knows the screen.
        """
        if spot == RAIN_NOTED:
            self.rain.pop(0)
            return "1" if self.rain else None
        if spot in ENDS or (self.what == "come" and spot == "welcome.menu"):
            return None
        if spot in _PINS:
            return self.pin.pop(0) if len(self.pin) > 1 else self.pin[0]
        if spot == "agent_work.grower":
            return self.digits.pop(0) if self.digits else None
        says = _SAYS.get(spot)
        if says is None:
            raise Stranger(spot)
        return says(self)


def _day(errand: Errand) -> str:
    return f"{errand.day.day}/{errand.day.month}"


def _rain_day(errand: Errand) -> str:
    day, _ = errand.rain[0]
    return f"{day.day}/{day.month}"


def _place(errand: Errand) -> str:
    return str(errand.village + 1)


#: Screens on which a yes records what was read back.
BACKS = frozenset(
    {"agent_work.sown_back", "agent_work.first_back", "agent_work.last_back", "agent_work.field_back"}
)
RAIN_BACK, RAIN_NOTED = "agent_rain.rain_back", "agent_rain.noted"
LOCKED = frozenset({"agent_work.locked", "agent_rain.locked"})
# nobody has told the agent which bag of several it is, so she rings off
ENDS = frozenset({"agent_work.done", "agent_work.bag", "agent_work.no_pin", "agent_rain.no_pin"}) | LOCKED
#: Screens behind the PIN that stand first.
OPEN = frozenset({"agent_work.grower", "agent_rain.gauge"})
_PINS = frozenset({"agent_work.pin", "agent_rain.pin"})
_RECORDS = {"sown": "1", "first": "2", "last": "3", "field": "4", "tries": "4"}
_SAYS: Mapping[str, Callable[[Errand], str]] = {
    "welcome.language": lambda errand: str(errand.language + 1),
    "welcome.consent": lambda _errand: "1",
    "welcome.where": _place,
    "welcome.menu": lambda _errand: "8",
    # a round asks agents too, who have other work
    "check_stand.sown": lambda _errand: "00",
    "welcome.which_hat": lambda errand: "3" if errand.what == "rain" else "1",
    "agent_work.what": lambda errand: _RECORDS[errand.what],
    "agent_work.sown": lambda errand: str(errand.sown),
    "agent_work.test_day": _day,
    "agent_work.first_up": lambda errand: str(errand.grown),
    "agent_work.too_many_up": lambda _errand: "1",
    "agent_work.last_up": lambda errand: f"{errand.grown}/{errand.sown}",
    "agent_work.fewer_up": lambda _errand: "1",
    "agent_work.field_day": _day,
    "agent_rain.gauge": _place,
    "agent_rain.rain_day": _rain_day,
    "agent_rain.rain_mm": lambda errand: f"{errand.rain[0][1]:.1f}",
    RAIN_BACK: lambda _errand: "1",
    **dict.fromkeys(BACKS, lambda _errand: "1"),
}
