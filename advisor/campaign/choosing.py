"""Which growers a round is for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

VILLAGE, LANGUAGE, SOWING, TEST = "grower.village", "grower.language", "plot.sowing", "lot.test"


@dataclass(frozen=True, slots=True)
class Chosen:
    """Growers by what is known of them; all of them where nothing is said.

    Args:
        villages: keys of villages, empty for all.
        languages: codes of languages, empty for all.
        sowing_from: the first day of sowing, None for any; who has told no day is left out where one is given.
        sowing_to: the last day of sowing, None for any.
        tested: whether a result of a seed test is known and fresh, None for both.

    >>> Chosen(villages=("v1",), tested=False).takes({"grower.village": "v1"})
    True
    >>> Chosen(sowing_to=date(2027, 11, 20)).takes({"plot.sowing": "2027-11-21"})
    False
    """

    villages: tuple[str, ...] = ()
    languages: tuple[str, ...] = ()
    sowing_from: date | None = None
    sowing_to: date | None = None
    tested: bool | None = None

    def takes(self, facts: Mapping[str, object]) -> bool:
        """Whether a grower is one of them.

        Args:
            facts: what is known and fresh, by name; dates as ``2027-11-20``.
        """
        if self.villages and facts.get(VILLAGE) not in self.villages:
            return False
        if self.languages and facts.get(LANGUAGE) not in self.languages:
            return False
        if self.tested is not None and (TEST in facts) is not self.tested:
            return False
        return self._takes_day(facts.get(SOWING))

    def _takes_day(self, told: object) -> bool:
        if self.sowing_from is None and self.sowing_to is None:
            return True
        try:
            day = date.fromisoformat(told) if isinstance(told, str) else None
        except ValueError:
            day = None
        return day is not None and (self.sowing_from or day) <= day <= (self.sowing_to or day)


EVERYBODY = Chosen()


def as_text(chosen: Chosen) -> str:
    """Who is chosen, as the last table of a round's file; empty where all are.

    >>> print(as_text(Chosen(villages=("v1",), tested=False)).strip())
    [chosen]
    villages = ["v1"]
    tested = "no"
    """
    if chosen == EVERYBODY:
        return ""
    lines = ["", "[chosen]"]
    for key, names in (("villages", chosen.villages), ("languages", chosen.languages)):
        if names:
            lines.append(f"{key} = [{', '.join(map(_quoted, names))}]")
    for key, day in (("sowing_from", chosen.sowing_from), ("sowing_to", chosen.sowing_to)):
        if day is not None:
            lines.append(f'{key} = "{day.isoformat()}"')
    if chosen.tested is not None:
        lines.append(f'tested = "{"yes" if chosen.tested else "no"}"')
    return "\n".join((*lines, ""))


def _quoted(name: str) -> str:
    # what a TOML string must not hold is no key of a village or language either
    return '"' + "".join(sign for sign in name if sign.isalnum() or sign in "-_") + '"'
