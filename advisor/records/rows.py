"""One grower as a row of a table: what a list of growers says, and since when. Pure values.

Somebody else says it of the grower, from a paper or from a talk. So each fact carries the day on which it was
told, and consent carries how and on which day it was given.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from advisor.records.facts import Value

#: How consent can have been given, each with what it means. The first three are an agent's to fill in.
HOWS = {
    "paper": "the grower signed or marked a paper that says what is kept",
    "spoken": "the grower said so to the agent, who told what is kept",
    "message": "the grower wrote so in a message of their own",
    "dialogue": "the grower said so on the phone, in this service's own dialogue",
}

#: What a row says of the grower, column by column, and the fact that keeps it. A field is area and unit together.
FACTS = {
    "language": "grower.language",
    "village": "grower.village",
    "agent": "grower.agent",
    "field_area": "plot.area",
    "sowing_date": "plot.sowing",
    "seed_origin": "lot.origin",
}

ORIGINS = ("bought", "saved")


@dataclass(frozen=True, slots=True)
class Said:
    """One fact of a row.

    Args:
        name: ``scope.name``.
        value: the value, in the unit in which facts are kept.
        on: the day on which it was told.
    """

    name: str
    value: Value
    on: date


@dataclass(frozen=True, slots=True)
class Row:
    """A grower as a table has one.

    Args:
        line: the line of the file, from 1.
        number: E.164 number.
        consent_how: one of `HOWS`.
        consent_on: the day on which consent was given.
        told_on: the last day on which the grower said anything of it.
        facts: what is said of the grower, sorted by name.
    """

    line: int
    number: str
    consent_how: str
    consent_on: date
    told_on: date
    facts: tuple[Said, ...] = ()

    @property
    def heard_on(self) -> date:
        """The last day on which the grower was heard."""
        return max(self.consent_on, self.told_on)


@dataclass(frozen=True, slots=True)
class Remark:
    """What is said of a line in the report. It never holds what stood in the line.

    Args:
        line: the line of the file, from 1.
        column: name of the column, of several with commas between them; empty where it is about the whole line.
        outcome: ``refused``, ``kept out``, ``merged``, ``partly`` or ``doubted``.
        reason: what is wrong and what to do.
    """

    line: int
    column: str
    outcome: str
    reason: str
