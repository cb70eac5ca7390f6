"""Questions to the agent: on the list, answered once, and gone with the grower or with time."""

from __future__ import annotations

import threading
from datetime import timedelta
from pathlib import Path

import pytest

from advisor.dialogue.talk import Agree, AskAgent, Effect, Erase, Keep, Stop, Withdraw
from advisor.service.backups import back_up, restore, rules_of
from advisor.service.clock import unix_ms
from advisor.service.erasing import Erasing
from advisor.service.knowing import all_that_is_kept
from advisor.service.questions import (
    LOOKS_EVERY_S,
    WAITS_FOR,
    NoQuestion,
    OldQuestions,
    Questions,
    WantsNoMessages,
)
from advisor.store.api import Change, Store, Terms
from advisor.store.embedded import EmbeddedStore
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.service.stage import (
    ANN,
    BANDS,
    IDS,
    NOW,
    StandingClock,
    grower_id,
    rounds,
    stored,
    told,
    waiting,
)

BEN = "+999001112234"
PALE = "Why are my leaves pale?"


@pytest.fixture(params=[DictStore, EmbeddedStore])
def store(request: pytest.FixtureRequest) -> Store:
    return request.param()


def asked(store: Store, text: str = PALE, number: str = ANN, village: str = "v1") -> None:
    told(store, Agree(), Keep("grower.village", village), AskAgent(text), number=number)


def texts(store: Store, clock: StandingClock | None = None) -> list[str]:
    return [one.question.text for one in Questions(store, clock or StandingClock()).waiting()]


class TestTheList:
    def test_shows_who_asked_what_and_when(self, store: Store) -> None:
        asked(store)

        (one,) = Questions(store, StandingClock()).waiting()
        assert (one.village, one.number, one.question.text, one.question.asked) == ("v1", ANN, PALE, NOW)

    def test_is_by_village_and_then_by_time(self, store: Store) -> None:
        asked(store, "second village", number=ANN, village="v2")
        asked(store, "first village", number=BEN, village="v1")
        told(store, AskAgent("later"), number=BEN, id="m1", clock=StandingClock(NOW + timedelta(hours=1)))

        assert texts(store) == ["first village", "later", "second village"]

    def test_is_empty_of_who_did_not_agree(self, store: Store) -> None:
        told(store, AskAgent(PALE))

        assert texts(store) == []
        assert store.asked() == ()
        assert PALE.encode() not in (store.value(grower_id())[1] or b"")

    def test_has_one_place_a_grower_with_the_oldest_first(self, store: Store) -> None:
        asked(store, number=ANN)
        told(store, AskAgent("more"), number=ANN, id="m1", clock=StandingClock(NOW + timedelta(hours=2)))

        assert [grower for grower, _ in store.asked()] == [grower_id(ANN)]
        assert store.asked()[0][1] == int(NOW.timestamp() * 1000)


class TestAnAnswer:
    def test_goes_by_sms_and_takes_the_question_off_in_one(self, store: Store) -> None:
        asked(store)
        questions = Questions(store, StandingClock())
        (one,) = questions.waiting()

        questions.answer(one.id, "Pull them.", IDS)

        assert waiting(store) == ["Pull them."]
        assert (texts(store), store.asked(), stored(store).record.questions) == ([], (), ())

    def test_waits_for_the_morning_and_over_holidays(self, store: Store) -> None:
        """The agent works late, and whoever asked some days ago is asleep."""
        asked(store)
        questions = Questions(store, StandingClock())
        questions.answer(questions.waiting()[0].id, "Pull them.", IDS)
        now_ms, three_days_ms = unix_ms(NOW), 3 * 24 * 3_600_000
        bucket, night = bucket_of(grower_id()), Terms(until_ms=now_ms, again_ms=now_ms + three_days_ms)

        assert list(store.claim(bucket, now_ms, 1, 9, night)) == []
        (answer,) = store.claim(bucket, now_ms + three_days_ms, 1, 9)
        assert b"Pull them." in answer.body

    def test_is_given_once(self, store: Store) -> None:
        asked(store)
        questions = Questions(store, StandingClock())
        (one,) = questions.waiting()
        questions.answer(one.id, "Pull them.", IDS)

        with pytest.raises(NoQuestion):
            questions.answer(one.id, "Pull them.", IDS)
        assert waiting(store) == ["Pull them."]

    def test_leaves_the_open_conversation_and_the_other_questions(self, store: Store) -> None:
        asked(store)
        told(store, AskAgent("more"), id="m1", clock=StandingClock(NOW + timedelta(hours=2)))
        before = stored(store).session
        questions = Questions(store, StandingClock())
        questions.answer(questions.waiting()[0].id, "Pull them.", IDS)

        assert texts(store) == ["more"]
        assert stored(store).session == before
        assert store.asked()[0][1] == int((NOW + timedelta(hours=2)).timestamp() * 1000)

    def test_does_not_reach_who_said_stop_since(self, store: Store) -> None:
        asked(store)
        told(store, Stop(), id="m1", clock=StandingClock(NOW + timedelta(minutes=1)))
        questions = Questions(store, StandingClock())
        (one,) = questions.waiting()

        with pytest.raises(WantsNoMessages):
            questions.answer(one.id, "Pull them.", IDS)
        assert (waiting(store), texts(store)) == ([], [PALE])

    def test_reaches_who_asked_after_a_stop(self, store: Store) -> None:
        told(store, Agree())
        told(store, Stop(), id="m1")
        told(store, AskAgent(PALE), id="m2", clock=StandingClock(NOW + timedelta(minutes=1)))
        questions = Questions(store, StandingClock())
        questions.answer(questions.waiting()[0].id, "Pull them.", IDS)

        assert waiting(store) == ["Pull them."]

    @pytest.mark.parametrize("wrong", ["", "1", f"{'0' * 16}-1", "../x", f"{'0' * 16}-{'9' * 11}"])
    def test_to_no_question_is_refused(self, store: Store, wrong: str) -> None:
        with pytest.raises(NoQuestion):
            Questions(store, StandingClock()).answer(wrong, "Pull them.", IDS)

    def test_given_by_mouth_closes_the_question_without_a_message(self, store: Store) -> None:
        asked(store)
        questions = Questions(store, StandingClock())
        questions.close(questions.waiting()[0].id)

        assert (texts(store), waiting(store)) == ([], [])

    def test_does_not_keep_a_grower_longer(self, store: Store) -> None:
        """Nothing was heard of the grower: the day on which the record goes stays."""
        asked(store)
        questions = Questions(store, StandingClock(NOW + timedelta(days=80)))
        questions.close(questions.waiting()[0].id)

        end = NOW + timedelta(days=731)
        assert Erasing(store, StandingClock(end), BANDS).those_not_heard_of(bucket_of(grower_id()), 9) == 1


class TestGone:
    @pytest.mark.parametrize("effect", [Erase(), Withdraw()])
    def test_with_the_grower(self, store: Store, effect: Effect) -> None:
        asked(store)
        told(store, effect, id="m1")

        assert (texts(store), store.asked()) == ([], ())

    def test_at_the_operators_word(self, store: Store) -> None:
        asked(store)
        Erasing(store, StandingClock(), BANDS).at_the_operators_word(ANN, IDS)

        assert store.asked() == ()

    def test_with_time(self, store: Store) -> None:
        asked(store)
        young = StandingClock(NOW + WAITS_FOR)
        assert Questions(store, young).let_go_of_old() == 0

        clock = StandingClock(NOW + WAITS_FOR + timedelta(seconds=1))
        assert Questions(store, clock).let_go_of_old() == 1
        assert (store.asked(), stored(store).record.questions) == ((), ())
        assert stored(store).record.agreed == NOW

    def test_is_looked_for_once_an_hour(self, store: Store) -> None:
        asked(store)
        clock = StandingClock(NOW + WAITS_FOR + timedelta(days=1))
        old = OldQuestions(Questions(store, clock))
        assert old.look() == 1

        told(store, AskAgent("again"), id="m9")
        assert old.look() == 0
        clock.wait(LOOKS_EVERY_S)
        assert old.look() == 1

    def test_is_seen_to_by_the_service_itself(self, store: Store) -> None:
        asked(store)
        clock = StandingClock(NOW + WAITS_FOR + timedelta(days=1))
        service = rounds(store, clock, old_questions=OldQuestions(Questions(store, clock)), pause_s=0.001)

        class Once(threading.Event):
            def is_set(self) -> bool:
                was, _ = super().is_set(), self.set()
                return was

        service.run(Once())
        assert store.asked() == ()


class TestWhatIsKept:
    def test_is_shown_to_the_grower(self) -> None:
        store = EmbeddedStore()
        asked(store)

        kept = all_that_is_kept(store, ANN, IDS)
        assert kept["questions_to_the_agent"] == [{"asked": "2027-03-01T07:30:00Z", "text": PALE}]

    def test_comes_back_with_a_backup_list_and_all(self, tmp_path: Path) -> None:
        store, other, file = EmbeddedStore(), EmbeddedStore(), tmp_path / "all.backup"
        store.open()
        other.open()
        asked(store)
        back_up(store, file, StandingClock())
        restore(other, file, rules_of(IDS, BANDS, StandingClock()), StandingClock())

        assert texts(other) == [PALE]
        assert other.asked() == store.asked()

    def test_a_change_names_a_moment(self) -> None:
        with pytest.raises(ValueError, match="asked_ms is Unix milliseconds"):
            Change(grower_id(), 0, b"{}", 1, asked_ms=-1)
