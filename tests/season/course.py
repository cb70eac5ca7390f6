"""The days of a season: growers call and answer, the service does its part, and each day is checked."""

from __future__ import annotations

import heapq
import itertools
import logging
import random
import re
from collections import Counter
from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta, timezone

from advisor.dialogue.book import Book
from advisor.dialogue.talk import EventKind
from advisor.store.names import bucket_of
from tests.season.agents import Agents, quick_pins
from tests.season.answers import Answers
from tests.season.characters import character, means_to, number_of
from tests.season.checks import Checks, Told
from tests.season.minds import Mind, Said, Stranger
from tests.season.office import Office
from tests.season.phones import Phone
from tests.season.plan import Plan, Played
from tests.season.rain_told import RainTold
from tests.season.world import Left, World

#: The zone of the demonstration programme, by itself and not by the service's reckoning.
_EAST = timedelta(hours=3)
ZONE = timezone(_EAST)
FIRST_DAY = date(2027, 9, 20)
#: When the service looks around; one of them at night, when nothing may leave.
LOOKS = (time(7, 15), time(12), time(17, 15), time(21, 30))
#: Nobody types on for ever: after so many screens something goes round in circles.
SCREENS_MOST = 60
#: New numbers begin here.
_NEW_NUMBERS = 5_000_000
_CODE = re.compile(r"(?<!\d)\d{6}(?!\d)")


class Course:
    """Plays a season.

    Args:
        book: what the service says.
        plan: what is played.
        tick: told of each day that is over.
    """

    def __init__(self, book: Book, plan: Plan, tick: Callable[[int], None] = lambda _day: None) -> None:
        self.plan, self._tick = plan, tick
        self.world = world = World(book, plan.seed, self._moment(0, time(6)), self._left)
        self.happened: Counter[str] = Counter()
        villages = len(book.programme.villages)
        self.who = [character(plan.seed, place, FIRST_DAY, villages) for place in range(plan.growers)]
        self.minds = [Mind(who, random.Random(f"mind {plan.seed} {who.place}"), who.sows) for who in self.who]
        for mind in self.minds:
            mind.language = mind.who.language
        self.phones = self._phones()
        self.by_number = {phone.number: phone for phone in self.phones}
        self._turns = itertools.count()
        self._agenda: list[tuple[datetime, int, int, str]] = []
        self._new_number = itertools.count(_NEW_NUMBERS)
        self._codes: dict[str, str] = {}
        self.checks = Checks(world, self.by_number)
        self.office = Office(self)
        self.agents = Agents(self)
        for one in self.agents.all:
            self.by_number[one.phone.number] = one.phone
        self.rain_told = RainTold(self)
        self.answers = Answers(self.happened)
        for day, hour, at, goal in self.agents.means_to():
            self.note(self._moment(day, time(0)) + timedelta(hours=hour), -1 - at, goal)
        for who in self.who:
            for day, hour, goal in means_to(who, plan.seed, FIRST_DAY, plan.days):
                self.note(self._moment(day, time(0)) + timedelta(hours=hour), who.place, goal)

    def play(self) -> Played:
        """Plays it to the end. What the service logs as a fault is one."""
        told = Told(self.checks, self.world.clock)
        logger = logging.getLogger("advisor")
        logger.addHandler(told)
        try:
            with quick_pins():
                return self._played()
        finally:
            logger.removeHandler(told)

    def _played(self) -> Played:
        for day in range(self.plan.days):
            for look in LOOKS:
                self._until(self._moment(day, look))
                self.go_over()
            self.office.day_is_over(day)
            self.checks.day_is_over(self.day(day))
            for what, about in (*self.agents.day_is_over(), *self.rain_told.day_is_over(self.day(day))):
                self.checks.met(what, self.day(day), about)
            self._tick(day)
        prompt = [phone for phone in self.phones if self._answers_all(phone)]
        self.happened["answered at once"] = len(prompt)
        self.checks.season_is_over(self.day(self.plan.days), prompt)
        log = self.world.log
        return Played(log.digest, log.count, self.happened, self.checks.faults, log.lines or [])

    def _answers_all(self, phone: Phone) -> bool:
        """Whether somebody alone with her phone tells all that she is asked, within the hour, and never stops."""
        who = self.who[phone.users[0]]
        turns = (who.stops, who.erases, who.withdraws, who.changes_phone)
        keeps_on = len(phone.users) == 1 and not who.moves_day and all(day is None for day in turns)
        at_once = who.answers and who.waits_h[1] <= 1 and not who.slips
        return keeps_on and at_once and not who.forgets_count and "lot.test" in phone.known and who.begins >= 15

    def _phones(self) -> list[Phone]:
        found: list[Phone] = []
        for who in self.who:
            phone = found[-1] if who.shares else Phone(who.number, self.world.ids.number(who.number))
            phone.users.append(who.place)
            found.append(phone)
        return found

    def note(self, at: datetime, place: int, goal: str) -> None:
        """Puts on the agenda what a grower does, by her place from 0, or an agent, by places from -1 down."""
        heapq.heappush(self._agenda, (at, next(self._turns), place, goal))

    def go_over(self) -> None:
        """Everything that the service does by itself at this moment."""
        self.rain_told.look(self.world.clock.now())
        self.world.go_over()
        self.agents.relayed.applied()

    def relay(self, grower: str) -> None:
        """What somebody has just said of others reaches them; what they are told leaves with the next look."""
        self.world.relaying.apply_waiting(bucket_of(grower))
        self.agents.relayed.applied()

    def carry(self) -> None:
        """What one thing that was said brings with it; rounds are looked at in their own time."""
        self.world.carry()
        self.agents.relayed.applied()

    def _until(self, moment: datetime) -> None:
        """Growers act, one after the other, up to a moment."""
        while self._agenda and self._agenda[0][0] <= moment:
            at, _, place, goal = heapq.heappop(self._agenda)
            self._tried_again(at)
            self.world.clock.move_to(at)
            if place < 0:
                self.agents.acts(-1 - place, goal)
            else:
                self._acts(self.minds[place], goal)
        self._tried_again(moment)
        self.world.clock.move_to(moment)

    def _tried_again(self, until: datetime) -> None:
        """What the gateway refused is handed over again, well before the next look at rounds."""
        while (at := self.world.again_at) is not None and at <= until:
            self.world.clock.move_to(at)
            self.world.again_at = None
            self.carry()

    def _acts(self, mind: Mind, goal: str) -> None:
        phone = self.phones[mind.who.place]
        self._in_hand(mind, phone)
        match goal:
            case "listed":
                self.office.lists(mind.who, phone)
            case "answer":
                if phone.asked and mind.has_reply(phone.asked, phone.known, self.today()):
                    self._calls(mind, phone, mind.goal_of(phone.asked), phone.asked)
                elif mind.has_to_say(self.today(), phone.known):
                    self._calls(mind, phone, "test")
            case "put out":
                mind.put_out = self.today()
                asked = phone.asked if mind.goal_of(phone.asked) == "test" else ""
                has_reply = mind.has_reply(asked, phone.known, self.today())
                self._calls(mind, phone, "test", asked if has_reply else "")
            case "later":
                mind.sows += timedelta(days=mind.who.moves_day)
                self._calls(mind, phone, "day")
            case "stop":
                self._types(phone, "STOP")
                phone.stopped = True
            case "start":
                self._types(phone, "START")
                phone.stopped, phone.back = False, self.today()
            case "language":
                mind.language = mind.who.other_language or 0
                self._calls(mind, phone, goal)
            case "code":
                self._changes_phone(mind, phone)
            case "withdraw" | "erase" | "agree":
                mind.is_private, mind.has_left = goal != "agree", True
                self._calls(mind, phone, goal if mind.is_private else "come")
            case _:
                self._calls(mind, phone, goal)

    def _changes_phone(self, mind: Mind, phone: Phone) -> None:
        """She asks for a code on the old phone, and the agent moves the record with it."""
        if not phone.agreed:
            return
        self._codes.pop(phone.number, None)
        self._calls(mind, phone, "code")
        self.carry()
        code = self._codes.pop(phone.number, None)
        if code is None:
            self.happened["no code came"] += 1
            return
        new = number_of(next(self._new_number))
        self.world.moving.move(phone.number, new, code)
        self.carry()
        del self.by_number[phone.number]
        phone.number = new
        self.by_number[new] = phone
        self.happened["phones changed"] += 1

    def _types(self, phone: Phone, text: str) -> None:
        phone.calls += 1
        phone.stirred = self.today()
        self.tells(phone, EventKind.SMS, text, "sms")
        self.happened[f"said {text.lower()}"] += 1

    def _calls(self, mind: Mind, phone: Phone, goal: str, asked: str = "") -> None:
        """One conversation, by USSD or by SMS, up to what she wanted or until she gives up.

        Args:
            mind: hers.
            phone: the one she uses.
            goal: what she wants.
            asked: the screen of a question that came by SMS, which she answers; empty where she calls by herself.
        """
        phone.asked = ""
        phone.touched = phone.stirred = self.today()
        if not phone.agreed:
            phone.known.clear()  # nothing is kept of the talk before
        phone.calls += 1
        if mind.who.channel == "sms":
            place, kind, typed = "sms", EventKind.SMS, "MENU"
        else:
            place, kind = f"ussd:{phone.number}-{phone.calls}", EventKind.BEGIN
            # who knows the way dials it behind the code
            typed = mind.dials(goal) if phone.known.get("grower.village") else ""
        self.happened[f"{mind.who.channel} conversations"] += 1
        said: Said | None = None
        before, tries, known = "", 0, phone.known
        # a message that was refused at first asks what she has left meanwhile for another conversation
        is_open = asked != "check_stand.sown" or self.world.asks(phone.grower) == asked
        if asked and (said := mind.answer(asked, goal, self.today(), known, 0)) is not None:
            place, kind, typed, before = "sms", EventKind.SMS, said.typed, asked
            self.happened["answers by SMS"] += 1
        for _ in range(SCREENS_MOST):
            self.tells(phone, kind, typed, place)
            spot = self.world.spot
            # who answers a question too late is shown the menu, and sees that nothing was taken
            is_late = bool(asked) and before == asked and (spot.startswith("welcome.") or not is_open)
            self.happened["answers too late"] += is_late
            # the same question of her other bag is another screen
            is_same = spot == before and not self._is_other_bag(mind, phone)
            for what, about in self.answers.amiss(mind, phone, before, said, spot):
                self.checks.met(what, self.world.clock.now(), about)
            if said is not None and not is_same and spot not in said.leads and not is_late:
                self._taken(mind, phone, before, said)
            self._in_hand(mind, phone)
            tries = tries + 1 if is_same else 0
            if not spot or tries > 3:
                return
            before = spot
            try:
                said = mind.answer(spot, goal, self.today(), known, tries)
            except Stranger:
                self.checks.met("stranger", self.world.clock.now(), f"nobody knows the screen {spot}")
                return
            if said is None:
                self._ended(mind, phone, spot)
                return
            kind = EventKind.SMS if place == "sms" else EventKind.ANSWER
            typed = said.typed
            if mind.who.repeats and mind.chance.random() < mind.who.repeats:
                self._again = True
            self.world.clock.wait(7)
        self.checks.met("circle", self.world.clock.now(), f"{phone.number} goes in circles at {before} for {goal}")

    _again = False

    def tells(self, phone: Phone, kind: EventKind, typed: str, place: str) -> None:
        """One message; now and then the network brings it twice, and both times gets the same answer."""
        message = f"m{self.world.messages}"
        answer = self.world.take(phone.number, kind, typed, place, message)
        if self._again:
            self._again = False
            outcome = self.world.outcome
            twice = self.world.take(phone.number, kind, typed, place, message)
            self.happened["messages brought twice"] += 1
            if twice.outcome != "repeated" or twice.body != answer.body:
                self.checks.met("twice", self.world.clock.now(), f"{phone.number} got another answer")
            self.world.outcome = outcome

    def _taken(self, mind: Mind, phone: Phone, spot: str, said: Said) -> None:
        if spot == "welcome.consent" and not mind.is_private:
            phone.agreed, phone.stopped = True, False
            self.happened["agreed again"] += mind.has_left
        if spot == "my_data.withdraw":
            phone.forgotten()
            self.happened["consent taken back"] += 1
            return
        if spot == "my_data.erase":
            # whoever moved to this number before is nobody now: the next to write from it begins anew
            phone.erased(self.world.ids.number(phone.number))
            self.happened["erased"] += 1
            return
        if spot == "welcome.start_again":
            phone.stopped, phone.back = False, self.today()
        phone.tells(said, self.world.clock.now())
        if "lot.test" in said.tells:
            self.happened["counted"] += 1
            self.happened["second bags counted"] += mind.bag
        if "lot.early" in said.tells:
            self.happened["first looks"] += 1
        if "lot.test_day" in said.tells:
            self.happened["tests put out"] += 1

    def _in_hand(self, mind: Mind, phone: Phone) -> None:
        """She reads which of her bags is spoken of: a round and the dialogue take one after the other."""
        if mind.who.two_lots:
            phone.takes_up(self.world.bag_in_hand(phone.grower))
            mind.bag = phone.bag

    def _is_other_bag(self, mind: Mind, phone: Phone) -> bool:
        return mind.who.two_lots and self.world.bag_in_hand(phone.grower) != phone.bag

    def _ended(self, mind: Mind, phone: Phone, spot: str) -> None:
        flow, screen = spot.split(".")
        if flow == "seed_test":
            self.happened[f"seen {screen}"] += 1

    def _left(self, left: Left) -> None:
        """The gateway took a message: whoever has that phone sees it, and answers in her time."""
        sent = self.checks.left(left)
        for what, about in self.rain_told.left(left, sent, self.by_number.get(left.number)):
            self.checks.met(what, left.at, about)
        if sent is None:
            amiss = self.agents.relayed.left(left)
            if amiss is not None:
                self.checks.met(amiss[0], left.at, amiss[1])
            found = _CODE.search(left.text)
            if found:
                self._codes[left.number] = found[0]
            return
        self.happened[f"step {sent.name}"] += 1
        phone = self.by_number.get(left.number)
        if phone is not None and sent.step.asks:
            # of two that came at one moment she answers the one that was made last
            is_last = phone.asked_at != left.at or sent.step.asks == self.world.asks(phone.grower)
            phone.asked, phone.asked_at = sent.step.asks if is_last else phone.asked, left.at
        for place in phone.users if phone is not None else ():
            mind = self.minds[place]
            mind.hears(sent.name)
            if mind.who.answers:
                wait_h = mind.chance.uniform(*mind.who.waits_h)
                self.note(left.at + timedelta(hours=wait_h), place, "answer")

    def today(self) -> date:
        return (self.world.clock.now() + _EAST).date()

    def day(self, day: int) -> date:
        """A day of the season."""
        return FIRST_DAY + timedelta(days=day)

    def _moment(self, day: int, at: time) -> datetime:
        return datetime.combine(self.day(day), at, ZONE).astimezone(UTC)
