"""One thing known of a grower, and since when."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec import Struct

#: What a fact or an answer can be. All of them survive a trip through JSON.
Value = str | int | float | bool | tuple[int, int]


class Fact(Struct, frozen=True):
    """One thing known, and since when.

    Args:
        name: ``scope.name``, for example ``plot.area``.
        value: the value; areas in m², masses in kg, counts as whole numbers, a seed test as (grown, sown).
        learnt: when it was said or measured, with a time zone.
    """

    name: str
    value: Value
    learnt: datetime

    def is_fresh(self, now: datetime, fresh_for: timedelta | None) -> bool:
        """Whether it still holds.

        Args:
            now: the moment to judge by.
            fresh_for: how long it holds; None for ever.
        """
        return fresh_for is None or now - self.learnt <= fresh_for
