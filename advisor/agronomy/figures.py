"""A number from a data file, with its unit, its source and how far it can be relied on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Mark = Literal["published", "judgement", "common practice"]

MARKS: tuple[Mark, ...] = ("published", "judgement", "common practice")


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of a crop, an input or a programme.

    Args:
        value: the number, in ``unit``.
        unit: its unit as the file gives it, ``1`` for a fraction or a count.
        source: key of the source it was taken from.
        mark: whether it was published, is common practice without a source, or is somebody's judgement.

    >>> Figure(0.85, "1", "nebraska-2016", "published").mark
    'published'
    """

    value: float
    unit: str
    source: str
    mark: Mark
