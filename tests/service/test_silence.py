"""Who is silent in a round: two questions that were really asked, each with a day to answer, and no word since."""

from __future__ import annotations

import pytest

from advisor.campaign.visiting import Help, Visit, Why
from advisor.loading import load_round
from advisor.records.grower import Grower
from advisor.records.several import begins
from advisor.service.clock import unix_ms
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change, RoundRow, RoundState
from advisor.store.memory import DictStore
from tests.service.campaigning import all_of as everything
from tests.service.campaigning import campaigns, start
from tests.service.stage import ANN, HOUR, NOW, StandingClock, grower_id
from tests.service.test_visiting import DAY, TODAY, ann, book, keep, lists

SILENT = """
key = "demo"
[[steps]]
key = "one"
after_minutes = 0
good_for_hours = 6
asks = "seed_test.origin"
text = { en = "One", sw = "Moja", hi = "एक", fr = "Un" }
[[steps]]
key = "two"
after_minutes = 1440
good_for_hours = 6
asks = "seed_test.origin"
text = { en = "Two", sw = "Mbili", hi = "दो", fr = "Deux" }
"""


class TestSilence:
    def after(self, *hours: float, told: bool = False, **facts: object) -> tuple[Visit, ...]:
        """A round of two messages a day apart, seen so long after its start, with a word in between where told."""
        store, clock = DictStore(), StandingClock()
        record = ann(plot_area=4000.0, **facts)
        keep(store, record)
        start(store, SILENT)
        for hour in hours:
            clock.at = NOW + hour * HOUR
            sender = campaigns(store, clock)
            sender.languages = book().programme.languages
            everything(sender)
            if told and hour == hours[0]:
                version, value = store.value(grower_id(ANN))
                from_round = Stored(from_bytes(value).record.knows("lot.origin", "saved", clock.at + HOUR))
                store.commit(Change(grower_id(ANN), version, to_bytes(from_round), unix_ms(clock.at)))
        return lists(store, clock).visits()

    def test_two_questions_without_a_word_make_one_silent_since_the_first(self) -> None:
        assert self.after(0, 24) == ()
        (visit,) = self.after(0, 25, 49)
        assert [(reason.why, reason.since) for reason in visit.reasons] == [(Why.SILENT, TODAY)]

    def test_who_has_sown_is_asked_and_begins_no_test(self) -> None:
        """The day was told twenty days ago, and the list is looked at two days later."""
        for days_ago, helps in ((19, Help.KEEP_BACK), (20, Help.ASK), (21, Help.ASK)):
            sowing = (TODAY - days_ago * DAY).isoformat()
            (visit,) = self.after(0, 25, 49, lot_origin="saved", plot_sowing=sowing)
            assert [(one.why, one.help) for one in visit.reasons] == [(Why.SILENT, helps)]

    def test_a_word_in_between_ends_the_silence(self) -> None:
        assert self.after(0, 25, 49, told=True) == ()

    def test_what_came_a_few_hours_ago_may_still_be_answered(self) -> None:
        assert self.after(0, 25, 30) == ()

    def test_a_question_that_was_passed_over_was_not_asked(self) -> None:
        """The first was too late when the round could begin."""
        assert self.after(25, 49) == ()

    @pytest.mark.parametrize(("marks", "silent"), [(("sort",), False), (("sort", "remind"), True)])
    def test_of_the_seed_test_is_told_from_the_days_of_the_round(
        self, marks: tuple[str, ...], silent: bool
    ) -> None:
        """S-16 in the evening and S-14 in the morning, without a word, on the day S-13."""
        store, clock = DictStore(), StandingClock()
        sowing = (TODAY + 13 * DAY).isoformat()
        keep(store, ann(lot_origin="saved", plot_sowing=sowing).passes("spring", marks))
        row = RoundRow("spring", RoundState.RUNNING, unix_ms(NOW - 30 * DAY), load_round("seed_test").encode())
        assert store.start_round(row) is None

        found = {reason.why: reason.since for visit in lists(store, clock).visits() for reason in visit.reasons}

        assert found == ({Why.SILENT: TODAY - 3 * DAY} if silent else {})

    def test_who_stopped_our_messages_is_not_silent(self) -> None:
        store, clock = DictStore(), StandingClock(NOW + 3 * HOUR)
        stopped = Grower(ANN, agreed=NOW - DAY, stopped=NOW + HOUR).passes("demo", ("one", "two"))
        keep(store, stopped)
        start(store, SILENT)

        assert lists(store, clock).visits() == ()

    def test_of_several_bags_the_marks_of_each_count(self) -> None:
        """Both bags were asked about at S-16 and S-14, in one message each."""
        store, clock = DictStore(), StandingClock()
        both = begins(ann(lot_origin="saved"), "lot").knows("lot.origin", "saved", NOW - 20 * DAY)
        both = both.knows("lot.bag", 2, NOW - 20 * DAY)
        both = both.knows("plot.sowing", (TODAY + 13 * DAY).isoformat(), NOW - 20 * DAY)
        keep(store, both.passes("spring", ("sort", "remind")))
        row = RoundRow("spring", RoundState.RUNNING, unix_ms(NOW - 30 * DAY), load_round("seed_test").encode())
        assert store.start_round(row) is None

        (visit,) = lists(store, clock).visits()

        assert [(reason.why, reason.help) for reason in visit.reasons] == [(Why.SILENT, Help.TEST)]
