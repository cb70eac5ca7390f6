"""A record with another plot or lot in hand: one taken up, a new one begun, the one in hand dropped.

What is known stays as it was learnt, whatever it is put aside for. One of which nothing is known is none: it is
not kept aside. Without a plot or lot aside a record is the same as it always was.
"""

from __future__ import annotations

from msgspec.structs import replace

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.records.aside import BAG, MOST, Aside, bag_numbers
from advisor.records.facts import Fact
from advisor.records.grower import Grower

#: Known of a lot since the grower chose it to be sown.
TO_SOW = "lot.to_sow"
#: Known of a field since then: the number of the bag that was chosen for it.
BAG_OF_FIELD = "plot.bag"


def place_in_hand(record: Grower, scope: str) -> int:
    """The place of the one in hand among all of its scope, from 0."""
    return _aside(record, scope).place


def all_of(record: Grower, scope: str) -> tuple[tuple[Fact, ...], ...]:
    """The facts of each plot or lot in their order, the one in hand at its place.

    Args:
        record: what is known of the grower.
        scope: ``plot`` or ``lot``.

    >>> all_of(Grower(), "plot")
    ((),)
    """
    aside = _aside(record, scope)
    return (*aside.others[: aside.place], _in_hand(record, scope), *aside.others[aside.place :])


def bags_of(record: Grower) -> tuple[int, ...]:
    """What each lot is called, in their order; see `records.aside.bag_numbers`.

    >>> bags_of(Grower())
    (1,)
    """
    every = all_of(record, "lot")
    return bag_numbers(next((fact.value for fact in facts if fact.name == BAG), None) for facts in every)


def with_bag_to_sow(record: Grower) -> Grower:
    """The record with the lot in hand that was chosen for the field in hand, else the one last chosen for any.

    A round asks of one lot after the other, and takes each in hand for it; what is bought and sown goes by the one
    that was chosen for that. Where none was chosen the record stays as it is.

    >>> from datetime import UTC, datetime
    >>> day = datetime(2027, 3, 1, tzinfo=UTC)
    >>> ann = begins(Grower().knows(TO_SOW, 1, day).knows("lot.origin", "saved", day), "lot")
    >>> with_bag_to_sow(ann.knows("lot.origin", "bought", day)).fact("lot.origin").value
    'saved'
    """
    if not any(aside.scope == "lot" for aside in record.aside):
        return record
    of_field, bags = record.fact(BAG_OF_FIELD), bags_of(record)
    if of_field is not None and of_field.value in bags:
        return takes_up(record, "lot", bags.index(int(str(of_field.value))))
    chosen = [
        (fact.learnt, place)
        for place, facts in enumerate(all_of(record, "lot"))
        for fact in facts
        if fact.name == TO_SOW
    ]
    return takes_up(record, "lot", max(chosen)[1]) if chosen else record


def count_of_facts(record: Grower) -> int:
    """How many facts are kept in all, those aside among them."""
    return len(record.facts) + sum(len(facts) for aside in record.aside for facts in aside.others)


def takes_up(record: Grower, scope: str, place: int) -> Grower:
    """The record with another one in hand.

    Args:
        record: what is known of the grower.
        scope: ``plot`` or ``lot``.
        place: the place of the one to take up, from 0.

    Raises:
        OutOfRange: there is none at that place.

    >>> from datetime import UTC, datetime
    >>> day = datetime(2027, 3, 1, tzinfo=UTC)
    >>> ann = begins(Grower().knows("plot.area", 10117.0, day), "plot").knows("plot.area", 5058.0, day)
    >>> takes_up(ann, "plot", 0).fact("plot.area").value
    10117.0
    """
    every = all_of(record, scope)
    if place not in range(len(every)):
        raise OutOfRange(scope, place, 0, len(every) - 1, "1")
    return _with(record, scope, every, place)


def begins(record: Grower, scope: str) -> Grower:
    """The record with a new one in hand, of which nothing is known yet; it is the last of its scope.

    Args:
        record: what is known of the grower.
        scope: ``plot`` or ``lot``.

    Raises:
        CannotBe: there are as many as can be kept.
    """
    every = (*(facts for facts in all_of(record, scope) if facts), ())
    if len(every) > MOST[scope]:
        raise CannotBe(f"{scope}s", f"more than {MOST[scope]} of the scope {scope}", "drop one first")
    return _with(record, scope, every, len(every) - 1)


def drops(record: Grower, scope: str, place: int | None = None) -> Grower:
    """The record without one of them; where it was the one in hand, the first of the others is taken up.

    Args:
        record: what is known of the grower.
        scope: ``plot`` or ``lot``.
        place: the place of the one to drop, from 0; None for the one in hand.

    Raises:
        OutOfRange: there is none at that place.
    """
    every, in_hand = all_of(record, scope), place_in_hand(record, scope)
    at = in_hand if place is None else place
    if at not in range(len(every)):
        raise OutOfRange(scope, at, 0, len(every) - 1, "1")
    left = (*every[:at], *every[at + 1 :]) or ((),)
    return _with(record, scope, left, 0 if at == in_hand else in_hand - (at < in_hand))


def _aside(record: Grower, scope: str) -> Aside:
    for aside in record.aside:
        if aside.scope == scope:
            return aside
    return Aside(scope)


def _in_hand(record: Grower, scope: str) -> tuple[Fact, ...]:
    begins_with = f"{scope}."
    return tuple([fact for fact in record.facts if fact.name.startswith(begins_with)])


def _with(record: Grower, scope: str, every: tuple[tuple[Fact, ...], ...], place: int) -> Grower:
    """The record with these of a scope, the one at a place in hand; of the others an empty one is left out."""
    kept = [(at, facts) for at, facts in enumerate(every) if facts or at == place]
    others = tuple(facts for at, facts in kept if at != place)
    before = sum(at < place for at, _ in kept)
    facts = (*(fact for fact in record.facts if not fact.name.startswith(f"{scope}.")), *every[place])
    aside = [found for found in record.aside if found.scope != scope]
    aside += [Aside(scope, before, others)] if others else []
    return replace(
        record,
        facts=tuple(sorted(facts, key=lambda fact: fact.name)),
        aside=tuple(sorted(aside, key=lambda found: found.scope)),
    )
