"""The words for days, weekdays and months of a language, beyond those of the locale data."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class DayWords:
    """How a day is named in a language. All words are folded.

    Args:
        near: word and the days from today that it can mean, -1 for yesterday; ``कल`` means -1 or 1.
        distances: forms such as ``in {0} days``, and how many days one of its count is, below 0 for the past.
        months: further names of months, 1 to 12.
        weekdays: further names of weekdays, 1 for Monday to 7 for Sunday as ISO 8601 has them.
        month_of: words in front of a month that is a number: ``mwezi wa``.
        silent: words that say nothing beside a date: ``the``, ``of``, the ``th`` of 12th.
    """

    near: Mapping[str, tuple[int, ...]]
    distances: tuple[tuple[re.Pattern[str], int], ...]
    months: Mapping[str, int]
    weekdays: Mapping[str, int]
    month_of: tuple[str, ...]
    silent: frozenset[str]
