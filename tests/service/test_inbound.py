"""A message comes in: what is answered, what is kept, and what a repeat changes."""

from __future__ import annotations

from datetime import timedelta

import msgspec
import pytest
from msgspec.structs import replace

from advisor.dialogue.talk import Agree, EventKind, Keep, Send
from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.errors import OtherBody, Stumbled
from advisor.service.stored import Stored
from advisor.store.api import Change, Reading, Verdict
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
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
    stored,
    ussd,
    waiting,
)


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

    def test_the_answer_is_remembered_for_an_hour_only(self) -> None:
        kept = Kept()

        inbound(kept, echo).take(ussd("1"))
        inbound(kept, says("Noted.", Agree())).take(ussd("2", id="m2"))

        assert [change.remember_ms for change in kept.changes] == [HOUR // timedelta(milliseconds=1), None]

    def test_a_reply_by_sms_waits_for_an_hour_at_most(self) -> None:
        kept = Kept()

        inbound(kept, says("Area?", to=session(until=NOW + 48 * HOUR))).take(sms("1"))
        inbound(kept, says("Noted.", Agree())).take(sms("2", id="m2"))

        lives = [timedelta(milliseconds=out.expires_ms) for change in kept.changes for out in change.outs]
        assert [life - timedelta(milliseconds=unix_ms(NOW)) for life in lives] == [HOUR, 24 * HOUR]

    def test_an_ended_conversation_leaves_nothing(self) -> None:
        store = DictStore()
        inbound(store, echo).take(ussd("1"))

        inbound(store, says("Bye")).take(ussd("2", id="m2"))

        assert store.value(grower_id()) == (0, None)


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

    def test_history_keeps_no_more_of_a_text_than_a_ussd_line_holds(self) -> None:
        store = DictStore()

        inbound(store, says("Area?", Agree())).take(sms("x" * 50_000))

        assert dict(store.history(grower_id())[0])["input"] == "x" * 182

    def test_village_figures_follow_the_record(self) -> None:
        store = DictStore()
        inbound(store, says("1", Agree(), Keep("grower.village", "v1"))).take(ussd("1", id="m1"))
        inbound(store, says("2", Keep("lot.origin", "saved"))).take(ussd("1", id="m2"))
        inbound(store, says("3", Keep("lot.test", (45, 50)))).take(ussd("1", id="m3"))
        inbound(store, says("4", Keep("lot.test", (20, 50)))).take(ussd("1", id="m4"))

        counts = {counter: count for counter, count in store.counts("v1").items() if count}
        assert counts == {"growers": 1, "started": 1, "tested": 1, "bad": 1}


class Kept(DictStore):
    """A store that keeps every change as it was given."""

    def __init__(self) -> None:
        super().__init__()
        self.changes: list[Change] = []

    def commit(self, change: Change) -> Verdict:
        self.changes.append(change)
        return super().commit(change)


class TestAFaultOfOurs:
    def test_leaves_the_session_as_it_was(self) -> None:
        store = DictStore()
        inbound(store, echo).take(ussd("1"))
        before = store.value(grower_id())

        with pytest.raises(Stumbled):
            inbound(store, breaks).take(ussd("2", id="m2"))

        assert store.value(grower_id()) == before

    def test_leaves_an_unconsented_session_on_the_list_of_what_must_go(self) -> None:
        store = DictStore()
        inbound(store, says("Jina?", to=session())).take(ussd("1"))
        use = inbound(store, breaks)
        for _ in (1, 2):
            with pytest.raises(Stumbled):
                use.take(ussd("2", id="m2"))
        assert use.take(ussd("2", id="m2")).outcome == "parked"

        assert store.lapse(bucket_of(grower_id()), unix_ms(NOW + HOUR), 10) == 1
        assert store.value(grower_id()) == (0, None)

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
        newer = b'{"v":99,"r":{}}'
        store.commit(Change(grower_id(), 0, newer, unix_ms(NOW)))
        use = inbound(store, echo)
        for _ in range(2):
            with pytest.raises(Stumbled):
                use.take(ussd("2"))

        assert use.take(ussd("2")).outcome == "parked"
        assert store.value(grower_id())[1] == newer
