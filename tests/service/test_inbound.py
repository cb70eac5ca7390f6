"""A message comes in: what is answered, what is kept, and what a repeat changes."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import msgspec
import pytest

from advisor.dialogue.talk import Agree, EventKind, Keep, Send, Stop
from advisor.records.grower import Grower
from advisor.service.changing import Message
from advisor.service.clock import unix_ms
from advisor.service.errors import Busy, OtherBody, Stumbled
from advisor.service.outgoing import Parcel
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change, Committed, Conflict, Reading, StoreUnavailable, Verdict, bucket_of
from advisor.store.memory import DictStore
from tests.service.stage import (
    ANN,
    HOUR,
    IDS,
    NOW,
    StandingClock,
    breaks,
    counting,
    echo,
    grower_id,
    inbound,
    says,
    session,
    sms,
    ussd,
)


def stored(store: DictStore, number: str = ANN) -> Stored:
    return from_bytes(store.value(grower_id(number))[1])


def waiting(store: DictStore, number: str = ANN) -> list[str]:
    claimed = store.claim(bucket_of(grower_id(number)), unix_ms(NOW) + 1000, 1, 100)
    return [msgspec.json.decode(message.body, type=Parcel).text for message in claimed]


class TestAnAnswer:
    def test_on_ussd_is_the_screen_and_whether_it_stays_open(self) -> None:
        answer = inbound(DictStore(), echo).take(ussd("2"))

        assert msgspec.json.decode(answer.body) == {"text": "You typed 2", "open": True}

    def test_on_sms_is_the_id_and_the_text_lies_in_the_outbox(self) -> None:
        store = DictStore()

        answer = inbound(store, echo).take(sms("2", id="sms-7"))

        assert msgspec.json.decode(answer.body) == {"id": "sms-7"}
        assert waiting(store) == ["You typed 2"]

    def test_to_a_cancel_is_empty_and_the_session_stays(self) -> None:
        store = DictStore()
        use = inbound(store, lambda held, *_: replace(says("ignored")(held, *_), session=held))
        inbound(store, echo).take(ussd("2"))

        answer = use.take(ussd(id="m2", kind=EventKind.CANCEL))

        assert msgspec.json.decode(answer.body) == {"text": "", "open": False}
        assert stored(store).session == session()

    def test_carries_its_pages_into_the_outbox_in_their_order(self) -> None:
        store = DictStore()

        inbound(store, says("Sent.", Send("buy_list.list", ("page 1", "page 2")))).take(sms("list"))

        assert waiting(store) == ["Sent.", "page 1", "page 2"]


class TestARepeat:
    @pytest.mark.parametrize("make", [ussd, sms])
    def test_gets_the_first_answer_again_and_decides_nothing(self, make: object) -> None:
        store = DictStore()
        step, taken = counting(echo)
        use = inbound(store, step)
        first = use.take(make("2"))
        before = (store.value(grower_id()), waiting(store))

        again = use.take(make("2"))

        assert (again.body, again.outcome) == (first.body, "repeated")
        assert taken() == 1
        assert store.value(grower_id()) == before[0]

    def test_with_another_body_is_refused(self) -> None:
        use = inbound(DictStore(), echo)
        use.take(ussd("2"))

        with pytest.raises(OtherBody):
            use.take(ussd("3"))

    def test_of_an_id_from_another_number_is_another_message(self) -> None:
        """Ids are remembered beside the grower, so that nobody is ever shown somebody else's answer."""
        use = inbound(DictStore(), echo)
        use.take(ussd("2"))

        answer = use.take(ussd("3", number="+999004445566"))

        assert answer.outcome == "moved"

    def test_that_lost_the_race_gets_the_winners_answer(self) -> None:
        store = DictStore()
        body = inbound(store, says("first")).take(ussd("2")).body

        class Late(DictStore):
            """A store whose read happened before the other commit."""

            def read(self, number_hash: str, message: str) -> Reading:
                return replace(store.read(number_hash, message), remembered=None)

            def commit(self, change: Change) -> Verdict:
                return store.commit(change)

        assert inbound(Late(), says("second")).take(ussd("2")).body == body


class TestAnOldMessage:
    def test_is_answered_and_changes_nothing(self) -> None:
        store = DictStore()
        step, taken = counting(echo)

        answer = inbound(store, step).take(ussd("2", at=NOW - timedelta(hours=72, seconds=1)))

        assert (msgspec.json.decode(answer.body), answer.outcome) == ({"text": "", "open": False}, "stale")
        assert (taken(), store.value(grower_id())) == (0, (0, None))

    def test_is_old_only_beyond_the_memory(self) -> None:
        answer = inbound(DictStore(), echo).take(ussd("2", at=NOW - timedelta(hours=72)))

        assert answer.outcome == "moved"

    def test_by_sms_leaves_no_reply(self) -> None:
        store = DictStore()

        answer = inbound(store, echo).take(sms("2", at=NOW - timedelta(hours=100)))

        assert msgspec.json.decode(answer.body) == {"id": "m1"}
        assert waiting(store) == []

    def test_that_was_answered_in_time_gets_its_answer_still(self) -> None:
        clock, store = StandingClock(), DictStore()
        use = inbound(store, echo, clock)
        first = use.take(ussd("2", at=NOW - timedelta(hours=71)))
        clock.at += timedelta(hours=2)

        assert use.take(ussd("2", at=NOW - timedelta(hours=71))).body == first.body


class TestBeforeConsent:
    def test_only_the_session_is_stored(self) -> None:
        store = DictStore()

        inbound(store, says("Area?", Keep("plot.area", 4000.0), to=session())).take(ussd("1"))

        assert stored(store) == Stored(Grower(), session())
        assert ANN.encode() not in (store.value(grower_id())[1] or b"")

    def test_it_lapses_within_the_hour_whatever_the_dialogue_wanted(self) -> None:
        store = DictStore()
        bucket = bucket_of(grower_id())
        inbound(store, says("Area?", to=session(until=NOW + 48 * HOUR))).take(ussd("1"))

        assert store.lapse(bucket, unix_ms(NOW + HOUR) - 1, 10) == 0
        assert store.lapse(bucket, unix_ms(NOW + HOUR), 10) == 1
        assert store.value(grower_id()) == (0, None)

    def test_a_lapsed_session_that_was_not_swept_yet_is_over(self) -> None:
        clock, store, seen = StandingClock(), DictStore(), []
        inbound(store, echo, clock).take(ussd("1"))
        clock.at += HOUR
        use = inbound(store, lambda held, *_: seen.append(held) or says("Welcome")(held, *_), clock)

        use.take(ussd("1", id="m2", at=clock.at))

        assert seen == [None]

    def test_there_is_no_history_and_no_figure(self) -> None:
        store = DictStore()

        inbound(store, says("Area?", Keep("grower.village", "v1"), to=session())).take(ussd("1"))

        assert store.history(grower_id()) == ()
        assert store.counts("v1") == {}

    def test_an_ended_conversation_leaves_nothing(self) -> None:
        store = DictStore()
        inbound(store, echo).take(ussd("1"))

        inbound(store, says("Bye")).take(ussd("2", id="m2"))

        assert store.value(grower_id()) == (0, None)

    def test_a_stop_is_kept_as_a_mark_without_a_number(self) -> None:
        store = DictStore()

        inbound(store, says("Stopped.", Stop())).take(sms("stop"))

        assert stored(store) == Stored(Grower(stopped=NOW))
        assert store.stopped(grower_id(), grower_id())


class TestAfterConsent:
    def test_facts_and_number_are_in_the_record(self) -> None:
        store = DictStore()

        inbound(store, says("Noted.", Agree(), Keep("plot.area", 4000.0))).take(ussd("1"))

        expected = Grower(ANN, agreed=NOW).knows("plot.area", 4000.0, NOW)
        assert stored(store) == Stored(expected)

    def test_consent_covers_the_facts_of_its_own_step(self) -> None:
        store = DictStore()

        inbound(store, says("Noted.", Keep("plot.area", 4000.0), Agree())).take(ussd("1"))

        assert stored(store).record.fact("plot.area") is not None

    def test_nothing_lapses_any_more(self) -> None:
        store = DictStore()
        inbound(store, echo).take(ussd("1"))

        inbound(store, says("Noted.", Agree(), to=session())).take(ussd("2", id="m2"))

        assert store.lapse(bucket_of(grower_id()), unix_ms(NOW + 100 * HOUR), 10) == 0

    def test_history_holds_what_a_replay_needs(self) -> None:
        store = DictStore()

        inbound(store, says("Area?", Agree(), to=session("area"))).take(ussd("1"))

        assert [dict(line) for line in store.history(grower_id())] == [
            {
                "at": "2027-03-01T07:30:00Z",
                "channel": "ussd",
                "event": "answer",
                "input": "1",
                "screen": "buy_list.area",
                "book": "book-1",
            }
        ]

    def test_village_figures_follow_the_record(self) -> None:
        store = DictStore()
        inbound(store, says("1", Agree(), Keep("grower.village", "v1"))).take(ussd("1", id="m1"))
        inbound(store, says("2", Keep("lot.origin", "saved"))).take(ussd("1", id="m2"))
        inbound(store, says("3", Keep("lot.test", (45, 50)))).take(ussd("1", id="m3"))
        inbound(store, says("4", Keep("lot.test", (20, 50)))).take(ussd("1", id="m4"))

        counts = {counter: count for counter, count in store.counts("v1").items() if count}
        assert counts == {"growers": 1, "started": 1, "tested": 1, "bad": 1}

    def test_stop_holds_back_what_was_waiting_but_not_its_own_confirmation(self) -> None:
        store = DictStore()
        inbound(store, says("Noted.", Agree(), Send("list", ("page 1",)))).take(sms("yes"))

        inbound(store, says("Stopped.", Stop())).take(sms("stop", id="m2"))

        assert waiting(store) == ["Stopped."]

    def test_who_asks_after_a_stop_is_answered(self) -> None:
        store = DictStore()
        inbound(store, says("Stopped.", Agree(), Stop())).take(sms("stop"))

        inbound(store, says("Menu")).take(sms("menu", id="m2"))

        assert sorted(waiting(store)) == ["Menu", "Stopped."]

    def test_consent_given_again_takes_the_stop_away(self) -> None:
        store = DictStore()
        inbound(store, says("Stopped.", Agree(), Stop())).take(sms("stop"))

        inbound(store, says("Welcome back.", Agree())).take(ussd("1", id="m2"))

        assert stored(store).record.stopped is None
        assert not store.stopped(grower_id(), grower_id())


class Contested(DictStore):
    """A store in which somebody else writes first, so many times."""

    def __init__(self, times: int) -> None:
        super().__init__()
        self.times = times

    def commit(self, change: Change) -> Verdict:
        if self.times:
            self.times -= 1
            return Conflict()
        return super().commit(change)


class Shaky(DictStore):
    """A store that is away, so many times; it may have written before it went."""

    def __init__(self, times: int, clock: StandingClock, *, takes_s: float = 0.0, writes: bool = False) -> None:
        super().__init__()
        self.times, self.clock, self.takes_s, self.writes = times, clock, takes_s, writes

    def commit(self, change: Change) -> Verdict:
        if not self.times:
            return super().commit(change)
        self.times -= 1
        if self.writes:
            assert isinstance(super().commit(change), Committed)
        self.clock.wait(self.takes_s)
        raise StoreUnavailable("away")


class TestWhenOthersWriteFirst:
    def test_it_reads_again_and_decides_again(self) -> None:
        step, taken = counting(echo)

        answer = inbound(Contested(4), step).take(ussd("2"))

        assert (answer.outcome, taken()) == ("moved", 5)

    def test_it_gives_up_after_five_times_and_asks_for_a_repeat(self) -> None:
        store = Contested(5)

        with pytest.raises(Busy):
            inbound(store, echo).take(ussd("2"))
        assert store.value(grower_id()) == (0, None)


class TestWhenTheStoreIsAway:
    def test_a_short_while_is_waited_out(self) -> None:
        clock = StandingClock()

        answer = inbound(Shaky(4, clock), echo, clock).take(ussd("2"))

        assert answer.outcome == "moved"

    def test_five_tries_are_all(self) -> None:
        clock = StandingClock()

        with pytest.raises(Busy) as refused:
            inbound(Shaky(5, clock), echo, clock).take(ussd("2"))
        assert refused.value.retry_after_s == 1

    @pytest.mark.parametrize("takes_s", [0.0, 0.05, 0.3, 0.6])
    def test_a_second_is_all(self, takes_s: float) -> None:
        clock = StandingClock()

        with pytest.raises(Busy):
            inbound(Shaky(99, clock, takes_s=takes_s), echo, clock).take(ussd("2"))
        assert clock.passed_s <= 1.0

    def test_a_commit_whose_answer_was_lost_is_found_again(self) -> None:
        clock = StandingClock()
        store = Shaky(1, clock, writes=True)
        step, taken = counting(echo)

        answer = inbound(store, step, clock).take(ussd("2"))

        assert (answer.outcome, taken()) == ("repeated", 1)


class TestAFaultOfOurs:
    def test_leaves_the_session_as_it_was(self) -> None:
        store = DictStore()
        inbound(store, echo).take(ussd("1"))
        before = store.value(grower_id())

        with pytest.raises(Stumbled):
            inbound(store, breaks).take(ussd("2", id="m2"))

        assert store.value(grower_id()) == before

    def test_is_answered_try_later_the_third_time_and_parked(self) -> None:
        store = DictStore()
        inbound(store, says("Jina?", to=session(language="sw"))).take(ussd("1"))
        before = stored(store)
        use = inbound(store, breaks)
        for times in (1, 2):
            with pytest.raises(Stumbled) as stumbled:
                use.take(ussd("2", id="m2"))
            assert stumbled.value.times == times

        answer = use.take(ussd("2", id="m2"))

        assert msgspec.json.decode(answer.body) == {"text": "Please try later (sw)", "open": False}
        assert [parked.message for parked in store.parked(bucket_of(grower_id()))] == [IDS.message(ANN, "m2")]
        assert stored(store) == before

    def test_is_not_met_a_fourth_time(self) -> None:
        store = DictStore()
        use = inbound(store, breaks)
        bodies = set()
        for _ in range(2):
            with pytest.raises(Stumbled):
                use.take(ussd("2"))

        for _ in range(3):
            bodies.add(use.take(ussd("2")).body)

        assert len(bodies) == 1

    def test_by_sms_sends_the_sentence(self) -> None:
        store = DictStore()
        use = inbound(store, breaks)
        for _ in range(2):
            with pytest.raises(Stumbled):
                use.take(sms("2"))

        use.take(sms("2"))

        assert waiting(store) == ["Please try later (en)"]

    def test_in_a_stored_value_of_a_newer_version_keeps_that_value(self) -> None:
        store = DictStore()
        newer = b'{"v":2,"r":{}}'
        store.commit(Change(grower_id(), 0, newer, unix_ms(NOW)))
        use = inbound(store, echo)
        for _ in range(2):
            with pytest.raises(Stumbled):
                use.take(ussd("2"))

        assert use.take(ussd("2")).outcome == "parked"
        assert store.value(grower_id())[1] == newer


def test_the_stored_value_survives_its_trip_through_json() -> None:
    kept = Stored(
        Grower(ANN, NOW, NOW).knows("lot.test", (45, 50), NOW),
        session(answers=(("area", 1.5), ("count", (1, 2))), trail=(session("a").spots,), page=1, learnt=("area",)),
    )

    assert from_bytes(to_bytes(kept)) == kept


def test_each_step_is_given_session_record_and_the_moment() -> None:
    given: list[object] = []
    store = DictStore()
    inbound(store, says("Area?", Agree(), to=session())).take(ussd("1"))
    message: Message = ussd("2", id="m2")

    inbound(store, lambda *all_of_them: given.extend(all_of_them) or echo(*all_of_them)).take(message)

    assert given == [session(), Grower(ANN, agreed=NOW), message.event, NOW]
