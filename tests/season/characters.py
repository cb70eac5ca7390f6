"""Who the growers of a season are: each drawn by the seed and her place, so that another size changes nobody."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

LANGUAGES = ("en", "sw", "hi", "fr")
#: The last two places of ten share one phone.
SHARING_OF = 10
#: Hours of the day between which something is done, where these are others than from seven to seven.
_HOURS = {"put out": (15.0, 18.0), "stop": (0.0, 24.0)}


@dataclass(frozen=True, slots=True)
class Character:
    """What a grower is like. Days count from the first day of the season.

    Args:
        place: her place, from 0.
        number: the number she begins with.
        shares: whether the grower before her has the same phone.
        language: place of her language in the list, from 0.
        other_language: the one she changes to, None where she does not.
        village: place of her village in the list, from 0.
        channel: ``ussd`` or ``sms``.
        listed: whether her agent has put her on the list with number, language, village and consent.
        comes: day of her first call, or on which she is put on the list.
        answers: whether she answers at all once she has agreed.
        waits_h: hours after which she answers a message: the least and the most.
        slips: chance that her first answer to a question is nonsense.
        repeats: chance that the network brings a message of hers twice.
        sows: the day she means to sow.
        moves_day: by how many days she puts it off once, 0 for never.
        begins: days before sowing on which she puts out the test.
        by_herself: whether she calls for the counts without being asked.
        forgets_count: whether she never counts in the end.
        tests: whether she tests her seed at all; some who buy labelled seed do not.
        sown: seeds she puts out.
        grown: how many grow.
        early: how many are up on the first look.
        bought: whether the seed is bought.
        dressed: whether it is dressed.
        two_lots: whether she has a second bag of seed of her own, which is tested beside the first.
        stops: day on which she says stop, None for never.
        returns: day on which she wants messages again, None for never.
        changes_phone: day on which she gets another number, None for never.
        erases: day on which she has everything erased, None for never.
        withdraws: day on which she takes her consent back, None for never.
        agrees_again: day on which she calls and agrees once more, after an erase or a consent taken back.
        cared: days on which her agent calls for her, and for what: most do for who does not answer.
        tells_sowing: whether she answers on which day she sowed, and sows sooner where rain has begun.
    """

    place: int
    number: str
    shares: bool
    language: int
    other_language: int | None
    village: int
    channel: str
    listed: bool
    comes: int
    answers: bool
    waits_h: tuple[float, float]
    slips: float
    repeats: float
    sows: date
    moves_day: int
    begins: int
    by_herself: bool
    forgets_count: bool
    tests: bool
    sown: int
    grown: int
    early: int
    bought: bool
    dressed: bool
    two_lots: bool
    stops: int | None
    returns: int | None
    changes_phone: int | None
    erases: int | None
    withdraws: int | None
    agrees_again: int | None
    cared: tuple[tuple[int, str], ...]
    tells_sowing: bool


def number_of(place: int) -> str:
    """The number of a place; those from 5,000,000 on are new numbers of growers who change phone."""
    return f"+99900{place:07}"


def character(seed: int, place: int, first_day: date, villages: int) -> Character:
    """The grower of a place.

    Args:
        seed: of the season.
        place: from 0.
        first_day: of the season.
        villages: how many the programme has.
    """
    chance = random.Random(f"{seed} {place}")
    shares = place % SHARING_OF == SHARING_OF - 1
    kind = chance.random()
    waits = (0.02, 1.0) if kind < 0.5 else (2.0, 20.0) if kind < 0.8 else (20.0, 70.0)
    sown = chance.choice((50, 100, 100, 100, 100, 200))
    grown = max(0, min(sown, round(sown * chance.choice((0.95, 0.9, 0.85, 0.7, 0.7, 0.5, 0.2, 0.0)))))
    stops = chance.randrange(10, 150) if chance.random() < 0.08 else None
    comes_back = stops is not None and chance.random() < 0.6
    is_rare = chance.random()
    bought = chance.random() < 0.4
    sows = 58 + chance.randrange(40)
    begins = chance.choice((16, 15, 15, 14, 12, 10))
    answers = chance.random() >= 0.12
    leaves = _leaves(random.Random(f"leaves {seed} {place}"), sows - begins)
    return Character(
        place=place,
        number=number_of(place - 1 if shares else place),
        shares=shares,
        language=chance.randrange(len(LANGUAGES)),
        other_language=chance.randrange(len(LANGUAGES)) if chance.random() < 0.05 else None,
        village=chance.randrange(villages),
        channel="sms" if chance.random() < 0.3 else "ussd",
        listed=chance.random() < 0.7,
        comes=chance.randrange(25),
        answers=answers,
        waits_h=waits,
        slips=chance.choice((0.0, 0.0, 0.1, 0.4)),
        repeats=0.02,
        sows=first_day + timedelta(days=sows),
        moves_day=chance.randrange(3, 15) if chance.random() < 0.1 else 0,
        begins=begins,
        by_herself=chance.random() < 0.7,
        forgets_count=chance.random() < 0.1,
        tests=not bought or chance.random() < 0.4,
        sown=sown,
        grown=grown,
        early=min(sown, grown + 2) if chance.random() < 0.05 else int(grown * chance.uniform(0.2, 0.9)),
        bought=bought,
        dressed=chance.random() < 0.2,
        two_lots=chance.random() < 0.08 and place % SHARING_OF < SHARING_OF - 2 and not bought,
        stops=stops,
        returns=stops + chance.randrange(2, 40) if stops is not None and comes_back else None,
        changes_phone=chance.randrange(30, 140) if is_rare < 0.03 else None,
        erases=leaves[0],
        withdraws=leaves[1],
        agrees_again=leaves[2],
        cared=_cared(random.Random(f"cared {seed} {place}"), answers, sows, begins),
        tells_sowing=random.Random(f"tells {seed} {place}").random() < 0.3,
    )


def means_to(who: Character, seed: int, first_day: date, days: int) -> Iterator[tuple[int, float, str]]:
    """What a grower does by herself in a season of so many days: day, hour and what."""
    chance = random.Random(f"agenda {seed} {who.place}")
    sows = (who.sows - first_day).days
    puts_out = sows - who.begins
    meant: list[tuple[int | None, str]] = [(who.comes, "listed" if who.listed else "come")]
    if who.answers:
        is_counted = who.tests and who.by_herself
        meant += [
            (who.comes + 1, "day"),
            (sows - 25 if who.moves_day else None, "later"),
            (puts_out if who.tests else None, "put out"),
            (puts_out + 5 if is_counted else None, "test"),
            (puts_out + 8 if is_counted else None, "test"),
            (who.stops, "stop"),
            (who.returns, "start"),
            (who.changes_phone, "code"),
            (who.erases, "erase"),
            (who.withdraws, "withdraw"),
            (who.agrees_again, "agree"),
            (who.comes + 12 if who.other_language is not None else None, "language"),
        ]
    for day, goal in meant:
        if day is not None and 0 <= day < days:
            yield day, chance.uniform(*_HOURS.get(goal, (7.0, 19.0))), goal


def _cared(chance: random.Random, answers: bool, sows: int, begins: int) -> tuple[tuple[int, str], ...]:
    """What an agent sees to: the whole test of who does not answer; a day or a count of some who do."""
    drawn, puts_out = chance.random(), sows - begins
    if answers:
        found = ((puts_out + 8, "last"), (sows + 1, "field")) if drawn < 0.05 else ()
    elif drawn < 0.7:
        found = ((puts_out - 8, "field"), (puts_out, "sown"), (puts_out + 5, "first"), (puts_out + 10, "last"))
    else:
        found = ((sows + 2, "field"),) if drawn < 0.8 else ()
    return found


def _leaves(chance: random.Random, puts_out: int) -> tuple[int | None, int | None, int | None]:
    """Days of an erase, of a consent taken back, and of a new one; half of them while her test runs."""
    kind = chance.random()
    if kind >= 0.06:
        return None, None, None
    goes = puts_out + chance.randrange(1, 9) if chance.random() < 0.5 else chance.randrange(30, 150)
    again = goes + chance.randrange(1, 30) if chance.random() < 0.6 else None
    return (goes, None, again) if kind < 0.03 else (None, goes, again)
