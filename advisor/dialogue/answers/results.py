"""The two things that a typed answer can come to."""

from __future__ import annotations

from dataclasses import dataclass

from msgspec import Struct

from advisor.dialogue.flows import Choice
from advisor.records.grower import Value


class Taken(Struct, frozen=True):
    """An answer that was understood.

    Args:
        value: what is kept: areas in m², sums of money as text, a seed test as (grown, sown), a day as ISO 8601
            text such as ``2027-03-12``.
        choice: the choice that was made, None for typed answers.
        number: its place among the choices from 0, None for typed answers.
    """

    value: Value
    choice: Choice | None = None
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Slip:
    """An answer that was not understood or cannot be.

    Args:
        notice: name of the line that says why, with an example.
    """

    notice: str
