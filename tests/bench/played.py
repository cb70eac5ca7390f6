"""A whole season in one process, against the bare steps of the very same messages."""

from __future__ import annotations

import time
from dataclasses import dataclass

from advisor.dialogue.book import Book
from advisor.dialogue.step import step
from tests.season.course import Course
from tests.season.plan import DAYS, Plan
from tests.season.sent_rounds import all_rounds

GROWERS = 300


@dataclass(frozen=True, slots=True)
class PlayedSeason:
    """What a season costs.

    Args:
        messages: messages that came in.
        season_s: processor time of the season, all that is sent, planned and checked included.
        steps_s: that of the steps of the same messages, one after the other and nothing else.
    """

    messages: int
    season_s: float
    steps_s: float

    @property
    def ratio(self) -> float:
        """How fast messages come in during a season, by how fast bare steps could take them."""
        return self.steps_s / self.season_s


def played(book: Book, growers: int = GROWERS, days: int = DAYS) -> PlayedSeason:
    """Plays a season and then its steps once more.

    Args:
        book: what the service says.
        growers: how many play.
        days: for how many days.
    """
    course = Course(book, Plan(growers, days=days, rounds=all_rounds()))
    stepped, taken = course.world._step, []

    def noting(*given):
        taken.append(given)
        return stepped(*given)

    course.world._step = noting
    begun_s = time.process_time()
    course.play()
    season_s = time.process_time() - begun_s
    begun_s = time.process_time()
    for given in taken:
        step(book, *given)
    return PlayedSeason(len(taken), season_s, time.process_time() - begun_s)
