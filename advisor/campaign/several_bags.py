"""Several bags of seed of one grower, as a round looks at them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta

from advisor.campaign.rounds import BAGS

#: What falls so near together for several bags of seed is asked in one message, on the later day.
TOGETHER = timedelta(days=2)


def bags_in(facts: Mapping[str, object]) -> tuple[tuple[int, Mapping[str, object]], ...]:
    """Of several bags of seed each with its number and all that is known of grower, field and it; none of one.

    >>> bags_in({"plot.area": 1.0, "lot.test": (9, 10), BAGS: ((2, {"lot.origin": "saved"}),)})
    ((2, {'plot.area': 1.0, 'lot.origin': 'saved'}),)
    """
    bags = facts.get(BAGS)
    if not isinstance(bags, tuple):
        return ()
    others = {name: value for name, value in facts.items() if not name.startswith("lot.")}
    return tuple((number, {**others, **lot}) for number, lot in bags)


def together(dues: list[tuple[datetime, int]]) -> Iterator[tuple[datetime, tuple[int, ...]]]:
    """Bags whose days are near together, by the first of these, with the last of them as their day."""
    left = sorted(dues)
    while left:
        near = [(due, number) for due, number in left if due - left[0][0] <= TOGETHER]
        left = left[len(near) :]
        yield near[-1][0], tuple(sorted(number for _, number in near))
