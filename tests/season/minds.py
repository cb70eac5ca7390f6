"""What a grower answers to a screen. She reads the screen itself, whatever its language: here by its name.

Each answer says what she then knows she has told, which the record must hold from then on.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date

from tests.season.characters import LANGUAGES, Character

#: What a fact is for the checks: nothing of the service's own types.
Told = Mapping[str, object]
#: Days after which she has been told to look and to count.
_EARLY, _FINAL = 5, 8
#: So many days sooner than she meant somebody sows whom the rains find ready.
_SOONER = 10
_TEST = ("lot.test_day", "lot.test_sown", "lot.early")


@dataclass(frozen=True, slots=True)
class Said:
    """What she types.

    Args:
        typed: on the phone.
        tells: what is known once the screen has moved on.
        forgets: what is not known any more then.
        leads: screens that are no sign yet that it was taken.
    """

    typed: str
    tells: Told = field(default_factory=dict)
    forgets: tuple[str, ...] = ()
    leads: tuple[str, ...] = ()


class Stranger(Exception):  # noqa: N818 - named for what was met
    """A screen that no character knows: give it an answer here."""


@dataclass(slots=True)
class Mind:
    """One grower's head: who she is, what she has done with her hands, and what she is about to say.

    Args:
        who: her character.
        chance: hers alone.
        sows: the day she means to sow now.
        put_out: the day on which she put out the test, None while she has not.
        counts: the count that she has just typed, grown of sown.
        has_read: whether she has read how a test is put out.
        language: place of the language that she wants now.
        bag: place of the bag of seed that is spoken of.
        has_second: whether she has told of a second bag.
        is_private: whether she wants nothing kept.
        has_left: whether that was ever so.
        heard: the last message of a round that she read, by round and step.
    """

    who: Character
    chance: random.Random
    sows: date
    put_out: date | None = None
    counts: tuple[int, int] = (0, 0)
    has_read: bool = False
    language: int = 0
    bag: int = 0
    has_second: bool = False
    is_private: bool = False
    has_left: bool = False
    heard: str = ""

    def answer(self, spot: str, goal: str, today: date, known: Told, tries: int) -> Said | None:
        """What she types on a screen, None where she has what she wanted.

        Args:
            spot: the screen, ``flow.screen``.
            goal: what she calls for.
            today: the day.
            known: what is known on this phone, as she remembers it.
            tries: how often this screen has come in a row.

        Raises:
            Stranger: she does not know the screen.
        """
        if spot == "seed_test.waiting" and self.who.two_lots and not self.has_second and not self.is_private:
            self.has_second = True
            return Said("3")
        if spot == "which_bag.which":
            # the one that is not counted yet
            return Said(str(1 + (self.bag if "lot.test" not in known else 1 - self.bag)))
        if spot in _ENDS[goal] or (spot in _BEFORE and self.put_out is None and not self.who.tests):
            return None
        if spot == "welcome.menu":
            is_done = goal == "language" and known.get("grower.language") == LANGUAGES[self.language]
            return None if is_done else Said(_DIALS[goal])
        if spot == "welcome.about_me":
            return Said(_ABOUT_ME[goal])
        if spot in _BEHIND:
            # 00 on a screen where none is an answer leads no further back than here
            return Said("1" if goal == _BEHIND[spot] else "00")
        flow, screen = spot.split(".")
        if (flow == "seed_test" and goal != "test") or (flow == "when_to_sow" and goal != "day"):
            return Said("00")
        if flow == "check_stand" and goal != "sown":
            return Said("00")
        is_hers = flow != "my_data" or goal in ("erase", "withdraw")
        if not is_hers or (flow == "new_number" and goal != "code"):
            return Said("00")
        if spot == "my_data.about":
            return Said("1" if goal == "withdraw" else "2")
        if spot == "welcome.consent":
            return Said("2" if self.is_private else "1")
        if spot in _FIXED:
            return _FIXED[spot]
        if spot.startswith(("when_to_sow.due_", "when_to_sow.tested_")):
            return None if self.is_said(known) else Said(_CHANGE_DAY.get(screen, "3"))
        own = _OWN.get(spot)
        if own is None:
            raise Stranger(spot)
        if tries == 0 and own in _SLIPS and self.chance.random() < self.who.slips:
            return Said(self.chance.choice(("many", self.too_many, "most", "?")))
        return own(self, today, known, tries)

    @property
    def too_many(self) -> str:
        """A count that cannot be: more than were sown."""
        return f"{self.who.sown + 40} of {self.who.sown}"

    @property
    def grown(self) -> int:
        """How many grow of the bag that is spoken of: of the second as many as do not of the first."""
        return self.who.grown if self.bag == 0 else self.who.sown - self.who.grown

    @property
    def early(self) -> int:
        """How many of them are up on the first look."""
        return self.who.early if self.bag == 0 else self.grown // 2

    def has_to_say(self, today: date, known: Told) -> bool:
        """Whether she would answer a message today: not while the test runs and nothing is to be counted."""
        if self.put_out is None:
            return self.who.tests and not self.has_read
        if "lot.test_day" not in known:
            return "lot.test" not in known
        days = (today - self.put_out).days
        return days >= _FINAL or (days >= _EARLY and "lot.early" not in known)

    def hears(self, message: str) -> None:
        """She reads a message of a round, by round and step."""
        self.heard = message

    def goal_of(self, asked: str) -> str:
        """What she wants who answers a question that came by SMS."""
        return "sown" if asked == "check_stand.sown" else "test"

    def has_sown(self, today: date) -> bool:
        """Whether her field is sown; who is told that rain has begun, and has begun her test, sows sooner."""
        soon = (self.sows - today).days
        if 0 < soon <= _SOONER and self.heard == "sow_now sow" and (self.put_out or not self.who.tests):
            self.sows = today
        return self.sows <= today

    def has_reply(self, asked: str, known: Told, today: date) -> bool:
        """Whether she can answer a question that came by SMS."""
        match asked:
            case "check_stand.sown":
                return self.who.tells_sowing and self.has_sown(today)
            case "seed_test.origin":
                return "lot.origin" not in known
            case "seed_test.prepare":
                return self.who.tests
            case "seed_test.sown_day":
                return self.put_out is not None and "lot.test_day" not in known and "lot.test" not in known
            case "seed_test.how_many" | "seed_test.early_look" | "seed_test.final_count":
                return self.put_out is not None and "lot.test_day" in known
            case _:
                return False

    def dials(self, goal: str) -> str:
        """What she dials behind the service's code, once she knows the menu."""
        return _DIALS.get(goal, "")

    def is_said(self, known: Told) -> bool:
        """Whether the day that she means is the one that is known."""
        return known.get("plot.sowing") == self.sows.isoformat()


def _typed_day(day: date) -> str:
    return f"{day.day}/{day.month}"


def _language(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    return Said(str(mind.language + 1), {"grower.language": LANGUAGES[mind.language]})


def _where(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    return Said(str(mind.who.village + 1), {"grower.village": f"v{mind.who.village + 1}"})


def _day(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    return Said(_typed_day(mind.sows), {"plot.sowing": mind.sows.isoformat()})


def _dressed(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    return Said("2" if mind.who.dressed else "1", {"lot.dressed": "yes" if mind.who.dressed else "no"})


def _origin(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    return Said("1" if mind.who.bought else "2", {"lot.origin": "bought" if mind.who.bought else "saved"})


def _prepare(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    if mind.put_out is not None:
        return Said("2")
    return Said("3" if mind.has_read else "1")


def _how(mind: Mind, _today: date, _known: Told, _tries: int) -> Said | None:
    mind.has_read = True
    return Said("1") if mind.put_out is not None else None


def _sown_day(mind: Mind, today: date, _known: Told, _tries: int) -> Said | None:
    if mind.put_out is None:
        return None
    typed = "today" if mind.put_out == today and mind.language == 0 else _typed_day(mind.put_out)
    return Said(typed, {"lot.test_day": mind.put_out.isoformat()}, ("lot.test_sown", "lot.early"))


def _how_many(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    return Said(str(mind.who.sown), {"lot.test_sown": mind.who.sown})


def _count(mind: Mind, grown: int, known: Told, tries: int) -> str:
    """As she types a count: alone where the phone knows of how many, else of how many; and she remembers it."""
    of = known.get("lot.test_sown")
    if of == mind.who.sown and mind.chance.random() < 0.5 and not tries and grown:
        mind.counts = (grown, mind.who.sown)
        return str(grown)
    mind.counts = (grown, mind.who.sown)
    return f"{grown}/{mind.who.sown}"


def _looks(mind: Mind, _today: date, known: Told, tries: int) -> Said:
    typed = _count(mind, mind.early, known, tries)
    tells = {"lot.early": mind.counts[0], "lot.test_sown": mind.counts[1]}
    return Said(typed, tells, leads=("seed_test.look_of_others",))


def _looks_right(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    return Said("1", {"lot.early": mind.counts[0], "lot.test_sown": mind.counts[1]})


def _late(mind: Mind, today: date, _known: Told, _tries: int) -> Said:
    return Said("1" if mind.put_out is not None and not mind.who.forgets_count else "2")


def _counts(mind: Mind, _today: date, known: Told, tries: int) -> Said | None:
    if mind.who.forgets_count:
        return None
    return Said(_count(mind, mind.grown, known, tries))


def _counted(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    return Said("1", {"lot.test": mind.counts}, _TEST)


def _sown(mind: Mind, _today: date, _known: Told, _tries: int) -> Said:
    return Said(_typed_day(mind.sows), {"plot.sowing": mind.sows.isoformat()})


#: Questions that some answer with nonsense first.
_SLIPS = (_looks, _counts, _how_many, _sown)
_Own = Callable[[Mind, date, Told, int], Said | None]
_OWN: Mapping[str, _Own] = {
    "welcome.language": _language,
    "welcome.where": _where,
    "when_to_sow.day": _day,
    "seed_test.dressed": _dressed,
    "seed_test.origin": _origin,
    "seed_test.origin_of_result": _origin,
    "seed_test.prepare": _prepare,
    "seed_test.how_in_soil": _how,
    "seed_test.how_on_cloth": _how,
    "seed_test.sown_day": _sown_day,
    "seed_test.how_many": _how_many,
    "seed_test.early_look": _looks,
    "seed_test.look_of_others": _looks_right,
    "seed_test.late": _late,
    "seed_test.final_count": _counts,
    "seed_test.read_back": _counted,
    "seed_test.read_back_others": _counted,
    "check_stand.sown": _sown,
}
_FIXED: Mapping[str, Said] = {
    "welcome.start_again": Said("1"),
    "when_to_sow.village": Said("00"),
    "when_to_sow.today_early": Said("1"),
    "when_to_sow.today_open": Said("1"),
    "when_to_sow.today_late": Said("1"),
    "when_to_sow.day_early": Said("2"),
    "when_to_sow.day_late": Said("2"),
    "when_to_sow.day_unsafe": Said("2"),
    "seed_test.dressed_care": Said("1"),
    "seed_test.labelled": Said("1"),
    "seed_test.place": Said("1", {"lot.method": "bed"}),
    "seed_test.place_of_result": Said("1", {"lot.method": "bed"}),
    "seed_test.fewer": Said("2"),
    "seed_test.agree_first": Said("2"),
    "seed_test.bags_full": Said("2"),
    "seed_test.new_bag": Said("1"),
    "seed_test.told_next": Said("1"),
    "seed_test.good_next": Said("1"),
    "seed_test.weak_next": Said("1"),
    "seed_test.bad_next": Said("1"),
    "which_bag.mark": Said("2"),
    "which_bag.full": Said("2"),
    "seed_test.rough": Said("1"),
    "my_data.withdraw": Said("1"),
    "my_data.erase": Said("1"),
    "my_data.nothing": Said("3"),
    "new_number.which": Said("1"),
}
_CHANGE_DAY = {"due_check": "2", "due_weed": "2", "due_nodules": "1", "due_harvest": "1", "due_over": "1"}
#: Where whoever tests nothing ends.
_BEFORE = ("seed_test.labelled", "seed_test.place")
_VERDICTS = ("good", "weak", "take_back", "poor", "very_poor", "dead")
_VERDICTS_OF_STAND = ("check_stand.good", "check_stand.thin", "check_stand.again")
_TEST_ENDS = frozenset(
    f"seed_test.{end}" for end in ("waiting", "looked_early", "too_late", "put_off", "last_day", *_VERDICTS)
)
#: What is typed on the menu and the one behind it, by what somebody calls for.
_DIALS = {"day": "4", "test": "3", "sown": "5", "language": "8", "code": "8", "erase": "8", "withdraw": "8"}
_BEHIND = {"welcome.about_seed": "test", "welcome.about_sowing": "day"}
_ABOUT_ME = {"language": "3", "code": "5", "erase": "6", "withdraw": "6"}
_ENDS: Mapping[str, frozenset[str]] = {
    "come": frozenset({"welcome.menu"}),
    "language": frozenset(),
    "day": frozenset(),
    "test": _TEST_ENDS,
    "sown": frozenset({"welcome.menu", "check_stand.too_soon", "check_stand.where", *_VERDICTS_OF_STAND}),
    "code": frozenset({"new_number.coded", "new_number.nothing"}),
    "erase": frozenset({"my_data.erased"}),
    "withdraw": frozenset({"my_data.forgotten", "my_data.nothing"}),
}
