"""What a screen makes of an answer: numbers that cannot be are asked again, and a verdict is that of its own bag.

The bands are those of the main crop, written down anew: good over 80 of 100, poor under 60, not sown under 50.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.season.minds import Mind, Said
    from tests.season.phones import Phone

_COUNTS = ("seed_test.early_look", "seed_test.final_count")
_LANGUAGE = "welcome.language"
#: For so long the first look holds.
_HELD = timedelta(days=30)
_FINAL, _FEWER = "seed_test.final_count", "seed_test.fewer"
_LOOKED_EARLY = "seed_test.looked_early"
_READ_BACK = frozenset({"seed_test.read_back", "seed_test.read_back_others", "seed_test.rough"})
_GOOD_OVER, _POOR_UNDER, _REFUSED_UNDER = 80, 60, 50
#: What is said of a bag; of one whose next is due at once only whether it is good, weak or bad.
_SHORT = {"good": "good_next", "weak": "weak_next"}
_VERDICTS = frozenset({"good", "weak", "take_back", "poor", "very_poor", "dead", *_SHORT.values(), "bad_next"})


def verdict(grown: int, sown: int, *, bought: bool) -> str:
    """What is said of a bag of seed.

    >>> [verdict(grown, 100, bought=False) for grown in (81, 80, 60, 59, 50, 49, 0)]
    ['good', 'weak', 'weak', 'poor', 'poor', 'very_poor', 'dead']
    """
    if grown * 100 > _GOOD_OVER * sown:
        return "good"
    if grown * 100 >= _POOR_UNDER * sown:
        return "weak"
    if bought:
        return "take_back"
    if grown * 100 >= _REFUSED_UNDER * sown:
        return "poor"
    return "very_poor" if grown else "dead"


class Answers:
    """Judges screens by the answers that led to them.

    Args:
        happened: counts.
    """

    def __init__(self, happened: Counter[str]) -> None:
        self._happened = happened

    def amiss(
        self, mind: Mind, phone: Phone, before: str, said: Said | None, spot: str
    ) -> Iterator[tuple[str, str]]:
        """What is wrong with the screen that follows an answer, kind and words.

        Args:
            mind: who answered, before she knows whether it was taken.
            phone: hers.
            before: the screen that was answered.
            said: the answer, None for a call.
            spot: the screen that follows.
        """
        if said is None:
            return
        if before == _LANGUAGE and spot != before:
            told, new = phone.known.get("grower.language"), said.tells["grower.language"]
            self._happened["languages changed"] += told not in (None, new)
        if spot.startswith("welcome."):
            return
        if before in _COUNTS and said.typed == mind.too_many:
            self._happened["more than sown, asked again"] += spot == before
            # who told the look already, herself or by an agent, is shown what is known of it
            is_told = spot == _LOOKED_EARLY and "lot.early" in phone.known
            if spot != before and not is_told:
                yield "taken", f"{phone.number} typed {said.typed} at {before} and came to {spot}"
        elif before == _FINAL and said.typed[:1].isdigit() and spot != before:
            early, told = phone.known.get("lot.early"), phone.learnt.get("lot.early")
            if told is not None and phone.touched - told.date() >= _HELD:
                return  # so old a look is held against nobody
            is_fewer = isinstance(early, int) and mind.counts[0] < early
            self._happened["fewer than before, asked about"] += is_fewer and spot == _FEWER
            if is_fewer != (spot == _FEWER):
                yield "taken", f"{phone.number} typed {said.typed} after {early} and came to {spot}"
        elif before in _READ_BACK and said.typed == "1" and spot.startswith("seed_test."):
            yield from self._judged(mind, phone, spot.removeprefix("seed_test."))

    def _judged(self, mind: Mind, phone: Phone, screen: str) -> Iterator[tuple[str, str]]:
        """Whether a verdict is that of the bag that was counted."""
        if screen not in _VERDICTS:
            return
        if len(phone.users) > 1:
            self._happened["counted on a shared phone"] += 1
            return
        right = verdict(mind.grown, mind.who.sown, bought=mind.who.bought)
        if screen not in (right, _SHORT.get(right, "bad_next")):
            about = f"bag {mind.bag + 1} of {phone.number}, {mind.grown} of {mind.who.sown}, is called {screen}"
            yield "misjudged", about
        self._happened["verdicts compared"] += 1
        self._happened["verdicts of second bags"] += mind.bag > 0
