"""What the office does in a season: it starts and holds rounds, and imports the agent's list of growers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.store.api import RoundState
from tests.season.characters import LANGUAGES, Character
from tests.season.lists import Lists
from tests.season.phones import Phone

if TYPE_CHECKING:
    from tests.season.course import Course

#: On the evening of this day the list is imported once more.
LISTED_AGAIN = 72


class Office:
    """The office.

    Args:
        course: the season that it works in.
    """

    def __init__(self, course: Course) -> None:
        self._course, self._lists = course, Lists(course.world)

    def day_is_over(self, day: int) -> None:
        """Does what there is to do on an evening."""
        self._rounds(day)
        if day == LISTED_AGAIN:
            self._again()

    def lists(self, who: Character, phone: Phone) -> None:
        """The agent puts a grower who has agreed on the list, unless she is there."""
        facts = {"grower.language": LANGUAGES[who.language], "grower.village": f"v{who.village + 1}"}
        if not phone.agreed and self._lists.puts(who.place, phone.number, self._course.today(), facts):
            phone.agreed = True
            phone.known.update(facts)
            self._course.happened["put on the list"] += 1

    def _rounds(self, day: int) -> None:
        """Starts, holds and lets go on; in the evening, so that what is due then must wait for the morning."""
        timely, store, today = self._course.checks.timely, self._course.world.store, self._course.day(day)
        for begins in self._course.plan.rounds:
            if day == begins.day:
                found = self._course.world.start(begins.text, begins.key)
                self._course.checks.knows_round(found, begins.key, today)
                self._course.rain_told.begins(found, self._course.world.clock.now())
                self._course.go_over()
            if day == begins.stops:
                store.set_round(begins.key, RoundState.STOPPED)
                timely.pauses(begins.key, today)
            for first, last in begins.held:
                if day == first:
                    store.set_round(begins.key, RoundState.PAUSED)
                    timely.pauses(begins.key, today)
                    self._course.happened["rounds held"] += 1
                elif day == last:
                    store.set_round(begins.key, RoundState.RUNNING)
                    timely.goes_on(begins.key, today)

    def _again(self) -> None:
        """The whole list once more: it brings nobody back, and tells nothing but the fields that were walked."""
        brought, kept_out = self._lists.again(), 0
        for one in self._lists.listed:
            phone = self._course.phones[one.place]
            if not phone.agreed or phone.number != one.number:
                kept_out += 1
            elif one.area_m2 is not None:
                phone.known.setdefault("plot.area", one.area_m2)
        self._course.happened["kept out of the list"] += kept_out
        if (brought.new, brought.new + brought.changed + brought.same) != (0, len(self._lists.listed) - kept_out):
            self._course.checks.met(
                "returned", self._course.today(), f"a second list: {brought}, {kept_out} not to be brought in"
            )
