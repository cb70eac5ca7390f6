"""What each write of the store asks of the commit script: values in, a plan out, nothing is sent."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import UTC, datetime, timedelta

from advisor.store import keys, traces
from advisor.store.api import MOST_MS, ROUNDS, Change, Settlement
from advisor.store.encoding import OutRecord, remembered_text, version_text, waiting_text
from advisor.store.names import bucket_of, checked_name
from advisor.store.script import Plan
from advisor.store.traces import Behind, Traces

MINUTE_MS = 60_000
HOUR_MS = 60 * MINUTE_MS
DAY_MS = 24 * HOUR_MS

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Keeps:
    """How long things are kept.

    Args:
        answers_ms: a remembered answer, and the count of a message's failures.
        marks_ms: the mark of an applied relay, and the state of an outgoing message after its end.
        history_ms: a line of history.
        overdue_ms: number and text of an outgoing message that nobody claimed, beyond its expiry. Longer than a
            sender's lease, so that a message on its way can still be settled.
        aside_ms: number and text of a message that was given up or may have arrived, for people to look at.

    Raises:
        ValueError: one of them is not a whole number of milliseconds above 0.

    >>> Keeps(answers_ms=0)
    Traceback (most recent call last):
    ValueError: answers_ms is 0, allowed is 1 to 2⁵³ - 1
    """

    answers_ms: int = 72 * HOUR_MS
    marks_ms: int = 7 * DAY_MS
    history_ms: int = 400 * DAY_MS
    overdue_ms: int = 2 * MINUTE_MS
    aside_ms: int = 7 * DAY_MS

    def __post_init__(self) -> None:
        for kept in fields(self):
            kept_ms = getattr(self, kept.name)
            if not 1 <= kept_ms <= MOST_MS:
                raise ValueError(f"{kept.name} is {kept_ms}, allowed is 1 to 2⁵³ - 1")

    def out_ms(self, expires_ms: int, at_ms: int) -> int:
        """How long number and text of a message are kept that is queued at ``at_ms``, milliseconds.

        Counted from the moment of the change and not as a moment of the server's clock, since the two differ.
        """
        return max(0, expires_ms - at_ms) + self.overdue_ms

    def answer_ms(self, change: Change) -> int:
        """How long the reply of a change is remembered, milliseconds."""
        return self.answers_ms if change.remember_ms is None else change.remember_ms


def change_plan(
    change: Change, keeps: Keeps, behind: Behind | None = None, rounds: tuple[str, ...] | None = None
) -> Plan:
    """The plan of everything that one message changes.

    Args:
        change: what it changes.
        keeps: how long things are kept.
        behind: what was read of the grower beside the value, for a change that forgets.
        rounds: rounds that the bucket knows of, for a change that ends them; it fails where there are others.
    """
    plan = Plan()
    if change.unless_stopped:
        plan.absent(keys.of_stops(bucket_of(change.grower)), change.unless_stopped)
    _plan_rounds(plan, change, rounds)
    if change.forgets:
        _plan_forgetting(plan, change, keeps, behind or Behind())
    elif change.stop is not None and change.stop[1]:
        _plan_silence(plan, change, keeps, behind or Behind())
    if change.readdress is not None:
        for _, oid in Traces.read(behind.traces if behind else ()).outs:
            plan.readdress(keys.of_out(oid), change.readdress)
    if change.message is not None or change.applied is not None:
        answer = remembered_text(change.digest, change.reply)
    if change.message is not None:
        kept_ms = keeps.answer_ms(change)
        plan.once_per_message(keys.of_message(change.grower, change.message), answer, kept_ms)
        _trace(plan, change, kept_ms, traces.of_message(change.message))
    if change.applied is not None:
        plan.once_per_effect(keys.of_seen(change.grower, change.applied), answer, keeps.marks_ms)
        _trace(plan, change, keeps.marks_ms, traces.of_effect(change.applied))
    _plan_value(plan, change)
    _plan_queues(plan, change, keeps)
    _plan_figures(plan, change, keeps)
    return plan


def _plan_rounds(plan: Plan, change: Change, rounds: tuple[str, ...] | None) -> None:
    bucket = bucket_of(change.grower)
    if change.ends_rounds and rounds is not None:
        plan.known(keys.of_pauses(bucket), rounds)
        for key in rounds:
            plan.unlist(keys.of_due(bucket, key), change.grower)
    for key, look_ms in () if change.ends_rounds else change.dues:
        if look_ms is None:
            plan.zrem(keys.of_due(bucket, key), change.grower)
        else:
            plan.zadd(keys.of_due(bucket, key), look_ms, change.grower)
    for key, counter, difference in change.tallies:
        if difference:
            plan.hincrby(keys.of_round_in(bucket, key), counter, difference)


def _plan_forgetting(plan: Plan, change: Change, keeps: Keeps, behind: Behind) -> None:
    bucket, found = bucket_of(change.grower), Traces.read(behind.traces)
    plan.emptied(keys.of_traces(change.grower), behind.traces)
    plan.drop(keys.of_history(change.grower), "stream")
    for message in found.messages:
        if message != change.message:
            plan.blank(keys.of_message(change.grower, message), keeps.answer_ms(change))
    for lane, oid in found.outs:
        if all(oid != out.oid for out in change.outs):
            plan.delete(keys.of_out(oid))
            plan.zrem(keys.of_lane(bucket, lane), oid)
            plan.zrem(keys.of_aside(bucket), oid)
    for day in days_around(change.at_ms):
        plan.hdel(keys.of_day(bucket, day), change.grower)
    for member in behind.parked:
        plan.zrem(keys.of_parked(bucket), member)
    for number in behind.numbers:
        plan.delete(keys.of_number(number))
        plan.srem(keys.of_moved(bucket), number)


def _plan_silence(plan: Plan, change: Change, keeps: Keeps, behind: Behind) -> None:
    """Who says stop is sent nothing that waits; what this very change queues is its confirmation."""
    for lane, oid in Traces.read(behind.traces).outs:
        if all(oid != out.oid for out in change.outs):
            plan.retire(keys.of_out(oid), keys.of_lane(bucket_of(change.grower), lane), oid, keeps.marks_ms)


def days_around(at_ms: int) -> tuple[str, ...]:
    """The days that a moment can be, wherever the programme is: zones reach from -12 to +14 hours.

    >>> days_around(1_800_000_000_000)
    ('20270114', '20270115')
    """
    moments = (_EPOCH + timedelta(milliseconds=at_ms + hours * HOUR_MS) for hours in (-24, -12, 0, 14))
    return tuple(dict.fromkeys(f"{moment:%Y%m%d}" for moment in moments))


def _trace(plan: Plan, change: Change, kept_ms: int, member: str) -> None:
    """Leaves a trace; not where nobody is left whose trace it could be."""
    if change.value is not None or not change.forgets:
        plan.trace(keys.of_traces(change.grower), kept_ms, member)


def _plan_value(plan: Plan, change: Change) -> None:
    key = keys.of_grower(change.grower)
    plan.guard(key, version_text(change.version))
    # A reading takes a pointer of another type for no pointer, and the number for its own grower.
    plan.look(keys.of_number(change.grower))
    if change.value is None:
        plan.delete(key)
    else:
        plan.set(key, version_text(change.next_version) + change.value)
    if change.heard:
        _plan_times(plan, change)
    asked = keys.of_asked(bucket_of(change.grower))
    if change.forgets or change.asked_ms == 0:
        plan.zrem(asked, change.grower)
    elif change.asked_ms is not None:
        plan.zadd(asked, change.asked_ms, change.grower)
    ends = keys.of_endings(bucket_of(change.grower))
    if change.forgets:
        plan.zrem(ends, change.grower)
    elif change.ending is not None:
        plan.zadd(ends, change.ending, change.grower)
    if change.pointer is not None:
        number, target = change.pointer
        moved = keys.of_moved(bucket_of(change.grower))
        if target is None:
            plan.delete(keys.of_number(number))
            plan.srem(moved, number)
        else:
            plan.set(keys.of_number(number), target)
            plan.sadd(moved, number)


def _plan_times(plan: Plan, change: Change) -> None:
    """When the value must be gone."""
    lapses, idle = keys.of_lapses(bucket_of(change.grower)), keys.of_idle(bucket_of(change.grower))
    if change.lapses_ms is None or change.value is None:
        plan.zrem(lapses, change.grower)
    else:
        plan.zadd(lapses, change.lapses_ms, change.grower)
    # every grower with a value has a place in one of the two, by which those of a bucket are found
    if change.value is None or change.lapses_ms is not None:
        plan.zrem(idle, change.grower)
    else:
        plan.zadd(idle, MOST_MS if change.idle_ms is None else change.idle_ms, change.grower)


def _plan_queues(plan: Plan, change: Change, keeps: Keeps) -> None:
    bucket = bucket_of(change.grower)
    for out in change.outs:
        key, lane = keys.of_out(out.oid), keys.of_lane(bucket, out.lane)
        kept_ms = keeps.out_ms(out.expires_ms, change.at_ms)
        _trace(plan, change, kept_ms, traces.of_out(out.lane, out.oid, out.round))
        text = OutRecord.of(out, change.grower).text
        among = (keys.of_traces(change.grower), out.round) if out.round and out.lane == ROUNDS else None
        plan.offer_out(key, text, lane, out.not_before_ms, out.oid, kept_ms, among)
    for relay in change.relays:
        held = waiting_text(relay.target, relay.body)
        key = keys.of_relay(bucket, relay.effect)
        plan.offer_relay(key, held, keys.of_relays(bucket), change.at_ms, relay.effect)


def _plan_figures(plan: Plan, change: Change, keeps: Keeps) -> None:
    bucket = bucket_of(change.grower)
    for village, counter, difference in change.counts:
        if difference:
            plan.hincrby(keys.of_village(bucket, village), counter, difference)
    if change.history:
        oldest_ms = max(0, change.at_ms - keeps.history_ms)
        plan.xadd(keys.of_history(change.grower), change.at_ms, oldest_ms, change.history)
    if change.stop is not None:
        number, stops = change.stop
        (plan.sadd if stops else plan.srem)(keys.of_stops(bucket), number)
        for erased in dict.fromkeys((number, change.grower)):
            if not stops:
                plan.srem(keys.of_gone(bucket), erased)
            elif change.forgets:
                plan.sadd(keys.of_gone(bucket), erased)


def settlement_words(one: Settlement) -> tuple[str, ...]:
    """What the settle script is told of one message."""
    return (
        one.oid,
        "0" if one.lane is None else str(one.lane + 1),
        one.state,
        *("" if number is None else str(number) for number in (one.again_ms, one.attempts, one.begun_ms)),
        traces.of_out(one.lane or 0, one.oid, one.round) if one.grower else "",
        "" if one.claim is None else str(one.claim),
    )


def relay_done_plan(bucket: int, effect: str) -> Plan:
    """The plan that takes a relay out of its bucket."""
    plan = Plan()
    plan.zrem(keys.of_relays(bucket), effect)
    plan.delete(keys.of_relay(bucket, effect))
    return plan


def ending_plan(grower: str, version: int, ending: int) -> Plan:
    """The plan that puts a grower on the list of endings; it fails when the grower did something meanwhile."""
    plan = Plan()
    plan.guard(keys.of_grower(grower), version_text(version))
    plan.zadd(keys.of_endings(bucket_of(grower)), ending, grower)
    return plan


def lapse_plan(grower: str, version: int) -> Plan:
    """The plan that deletes a session; it fails when the grower did something meanwhile."""
    plan = Plan()
    plan.guard(keys.of_grower(grower), version_text(version))
    plan.delete(keys.of_grower(grower))
    plan.zrem(keys.of_lapses(bucket_of(grower)), grower)
    return plan


def stumble_plan(grower: str, message: str, count: int, keeps: Keeps) -> Plan:
    """The plan that counts one more failure after ``count``."""
    plan = Plan()
    key = keys.of_stumbles(grower, message)
    plan.guard(key, version_text(count))
    plan.set(key, version_text(count + 1), keeps.answers_ms)
    return plan


def park_plan(grower: str, message: str, at_ms: int) -> Plan:
    """The plan that puts a message on the operator's list."""
    plan = Plan()
    plan.zadd(keys.of_parked(bucket_of(grower)), at_ms, f"{grower}:{checked_name('message', message)}")
    return plan


def unpark_plan(grower: str, message: str) -> Plan:
    """The plan that takes a message off the operator's list."""
    plan = Plan()
    plan.zrem(keys.of_parked(bucket_of(grower)), f"{grower}:{checked_name('message', message)}")
    return plan
