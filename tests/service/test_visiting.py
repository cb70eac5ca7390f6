"""An agent's lists over a store: what is seen of each grower, who is silent in a round, what cannot be read."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.advice.buying import buying
from advisor.agronomy.germination import SeedTest
from advisor.by_book import main_crop, visiting_of
from advisor.campaign.visiting import Help, Reason, Why
from advisor.dialogue.book import Book
from advisor.loading import load_book
from advisor.records.grower import Grower
from advisor.records.several import all_of, begins, takes_up
from advisor.service.clock import unix_ms
from advisor.service.stored import Stored, to_bytes
from advisor.service.surveying import seen_of
from advisor.service.visiting import Visiting
from advisor.store.api import Change, Store
from advisor.store.memory import DictStore
from tests.laws import examples
from tests.service.stage import ANN, NOW, StandingClock, grower_id

DAY = timedelta(days=1)
TODAY = NOW.date()


@cache
def book() -> Book:
    return load_book()


def lists(store: Store, clock: StandingClock | None = None) -> Visiting:
    return visiting_of(book(), store, clock or StandingClock())


def keep(store: Store, record: Grower) -> None:
    store.commit(Change(grower_id(record.number), 0, to_bytes(Stored(record)), unix_ms(NOW)))


def ann(**facts: object) -> Grower:
    record = Grower(ANN, agreed=NOW - 60 * DAY).knows("grower.village", "v1", NOW - 60 * DAY)
    for name, value in facts.items():
        record = record.knows(name.replace("_", ".", 1), value, NOW - 20 * DAY)
    return record


facts = st.fixed_dictionaries(
    {},
    optional={
        "plot.area": st.floats(400, 80_000),
        "plot.sowing": st.dates(TODAY - 90 * DAY, TODAY + 90 * DAY).map(date.isoformat),
        "lot.origin": st.sampled_from(["bought", "saved"]),
        "lot.test": st.integers(0, 100).map(lambda grown: (grown, 100)),
        "lot.method": st.sampled_from(["paper", "bed"]),
        "lot.test_day": st.dates(TODAY - 90 * DAY, TODAY).map(date.isoformat),
    },
)
ages = st.integers(0, 300).map(lambda days: NOW - days * DAY)


@st.composite
def records(draw: st.DrawFn) -> Grower:
    """Growers with one to three fields and lots, of which any is in hand."""
    record = Grower(ANN, agreed=NOW - 400 * DAY)
    for turn in range(draw(st.integers(1, 3))):
        for scope in ("plot", "lot"):
            if turn and draw(st.booleans()):
                record = begins(record, scope)
        for name, value in draw(facts).items():
            record = record.knows(name, value, draw(ages))
    for scope in ("plot", "lot"):
        record = takes_up(record, scope, draw(st.integers(0, len(all_of(record, scope)) - 1)))
    return record


class TestWhatIsSeen:
    @examples(60)
    @given(records())
    def test_of_a_stored_value_is_what_the_record_holds_and_is_fresh(self, record: Grower) -> None:
        holds = {name: None if span is None else int(span.total_seconds()) for name, span in book().facts.items()}

        seen = seen_of("a", to_bytes(Stored(record)), holds, int(NOW.timestamp()))

        assert seen is not None

        def told_on(of: tuple) -> str:
            return Grower(facts=of).fact("plot.sowing").learnt.date().isoformat()

        def fresh(of: tuple, name: str) -> object:
            return Grower(facts=of).fresh(name, NOW, book().facts.get(name))

        plots, lots = all_of(record, "plot"), all_of(record, "lot")
        for plot, found in zip(plots, seen.plots, strict=True):
            assert found.area_m2 == fresh(plot, "plot.area")
            sowing = fresh(plot, "plot.sowing")
            assert found.sowing == (None if sowing is None else date.fromisoformat(str(sowing)))
            assert found.sown == (sowing is not None and str(sowing) <= told_on(plot))
        for lot, found in zip(lots, seen.lots, strict=True):
            assert found.origin == (fresh(lot, "lot.origin") or "")
            counts = fresh(lot, "lot.test")
            assert (found.test is None) == (counts is None)
            if isinstance(counts, tuple):
                assert found.test == SeedTest(*counts, fresh(lot, "lot.method") or "paper")
                assert found.tested == Grower(facts=lot).fact("lot.test").learnt

    def test_who_has_not_agreed_is_not_in_any_list(self) -> None:
        store = DictStore()
        keep(store, Grower(ANN).knows("grower.village", "v1", NOW))

        assert lists(store).results().by_village() == ()

    def test_a_value_that_cannot_be_read_hides_no_other(self) -> None:
        store = DictStore()
        keep(store, ann(lot_origin="saved"))
        other = f"{grower_id(ANN)[:2]}00112233445566"
        store.commit(Change(other, 0, b'{"v":1,"r":{"n":"x","a":0,"f":7}}', unix_ms(NOW)))

        (result,) = lists(store).results().by_village()

        assert (result.village, result.growers, result.untested) == ("v1", 1, 1)


#: 2.5 acres; of seed that nobody tested 50 kg at 80 % are sown as at 60 %, and a tenth goes in sorting: 74.07 kg.
FIELD_M2 = 10117.141056
GRAIN_KG = 74.1


class TestVisits:
    def reasons(self, record: Grower, clock: StandingClock | None = None) -> tuple[Reason, ...]:
        store = DictStore()
        keep(store, record)
        return tuple(reason for visit in lists(store, clock).visits() for reason in visit.reasons)

    def why(self, record: Grower, clock: StandingClock | None = None) -> dict[Why, date]:
        return {reason.why: reason.since for reason in self.reasons(record, clock)}

    def helps(self, record: Grower, clock: StandingClock | None = None) -> list[tuple[Why, Help, object]]:
        """Each reason, what helps, and how much of it or by when."""
        return [(one.why, one.help, one.kg or one.by) for one in self.reasons(record, clock)]

    def test_seed_that_failed_is_visited_since_its_count(self) -> None:
        assert self.why(ann(lot_origin="saved", lot_test=(59, 100))) == {Why.BAD_SEED: TODAY - 20 * DAY}
        assert self.why(ann(lot_origin="saved", lot_test=(60, 100))) == {}

    def test_seed_that_is_sown_needs_no_visit_any_more(self) -> None:
        """Sown is a day that was told on that day or later."""
        bad = ann(lot_test=(59, 100), plot_sowing=(TODAY - DAY).isoformat())
        assert self.why(bad) != {}
        assert self.why(bad.knows("plot.sowing", (TODAY - DAY).isoformat(), NOW)) == {}
        assert self.why(bad.knows("plot.sowing", TODAY.isoformat(), NOW)) == {}

    @pytest.mark.parametrize(("weeks_ago", "visited"), [(4, True), (4 + 1 / 7, False)])
    def test_a_day_that_was_only_meant_is_waited_for_for_four_weeks(self, weeks_ago: float, visited: bool) -> None:
        """Rain is often weeks late, and bad seed still needs other seed then."""
        day = (TODAY - round(7 * weeks_ago) * DAY).isoformat()
        late = ann(lot_origin="saved", plot_area=FIELD_M2, lot_test=(28, 100))
        late = late.knows("plot.sowing", day, NOW - 60 * DAY)

        assert self.helps(late) == ([(Why.BAD_SEED, Help.OTHER_SEED, 50)] if visited else [])

    def test_who_is_late_to_sow_comes_first_with_the_day_that_is_past(self) -> None:
        store = DictStore()
        for number, days in (("+999008800001", 1), ("+999008800002", -2)):
            record = Grower(number, agreed=NOW - 60 * DAY).knows("lot.test", (40, 100), NOW - 9 * DAY)
            keep(store, record.knows("plot.sowing", (TODAY + days * DAY).isoformat(), NOW - 9 * DAY))

        found = lists(store).visits()

        assert [(visit.days_left, visit.sowing) for visit in found] == [
            (-2, TODAY - 2 * DAY),
            (1, TODAY + DAY),
        ]

    def test_who_has_sown_and_asks_something_is_listed_with_the_day_and_behind_who_sows(self) -> None:
        store = DictStore()
        for number, days in (("+999008800001", -40), ("+999008800002", 5)):
            record = Grower(number, agreed=NOW - 60 * DAY).asks("Why are my leaves pale?", NOW)
            keep(store, record.knows("plot.sowing", (TODAY + days * DAY).isoformat(), NOW))

        found = lists(store).visits()

        assert [(visit.days_left, visit.sowing) for visit in found] == [
            (5, TODAY + 5 * DAY),
            (None, TODAY - 40 * DAY),
        ]

    @examples(30)
    @given(st.lists(st.floats(400, 80_000), min_size=1, max_size=3), st.none() | st.integers(0, 59))
    def test_what_to_bring_adds_up_the_numbers_that_the_growers_own_lists_say(
        self, areas: list[float], grown: int | None
    ) -> None:
        """Each field's list as the dialogue words it; a field that it refuses is refused here too."""
        (work, _) = buying(book().programme, main_crop(book()))
        name, kinds = ("grain" if grown is None else "seed"), dict(work.gives)
        sight = {"lot.origin": "saved", **({} if grown is None else {"lot.test": (grown, 100)})}
        said = [
            kinds[name].words(work.run({**sight, "plot.area": area_m2}, NOW)[name], book().voices["en"])
            for area_m2 in areas
        ]

        record = ann(lot_origin="saved")
        record = record.knows("lot.closed", "untested", NOW) if grown is None else record
        record = record if grown is None else record.knows("lot.test", (grown, 100), NOW)
        for turn, area_m2 in enumerate(areas):
            record = begins(record, "plot") if turn else record
            record = record.knows("plot.area", area_m2, NOW).knows("plot.sowing", str(TODAY), NOW - DAY)
            record = record.knows("plot.bag", 1, NOW)
        (reason,) = self.reasons(record)

        assert reason.kg == pytest.approx(sum(float(one.removesuffix(" kg").replace(",", "")) for one in said))

    @pytest.mark.parametrize(("days", "overdue"), [(8, False), (10, False), (11, True)])
    def test_a_count_is_overdue_from_the_third_day_after_its_own(self, days: int, overdue: bool) -> None:
        begun = TODAY - days * DAY
        found = self.why(ann(lot_test_day=begun.isoformat()))

        assert found == ({Why.BROKEN_OFF: begun + 8 * DAY} if overdue else {})

    def test_cool_soil_has_its_count_two_days_later(self) -> None:
        begun = (TODAY - 11 * DAY).isoformat()
        hills = ann(lot_test_day=begun).knows("grower.village", "v4", NOW)

        assert self.why(hills) == {}

    def test_a_test_that_a_round_gave_up_is_one_reason_until_it_is_counted_or_begun_anew(self) -> None:
        begun = TODAY - 12 * DAY
        closed = ann(lot_test_day=begun.isoformat()).knows("lot.closed", "no_count", NOW - DAY)

        assert self.why(closed) == {Why.BROKEN_OFF: begun + 8 * DAY}
        assert self.why(closed.knows("lot.test", (90, 100), NOW)) == {}
        assert self.why(closed.knows("lot.test_day", TODAY.isoformat(), NOW)) == {}

    def test_seed_that_was_given_up_untested_comes_with_the_grain_to_keep_back(self) -> None:
        """Nine days before the sowing, after the last good day for a test."""
        own = ann(lot_origin="saved", plot_area=FIELD_M2, plot_sowing=(TODAY + 9 * DAY).isoformat())
        closed = own.knows("lot.closed", "untested", NOW)

        assert self.helps(closed) == [(Why.UNTESTED, Help.KEEP_BACK, GRAIN_KG)]
        assert self.helps(closed.forgets(("plot.area",))) == [(Why.UNTESTED, Help.KEEP_BACK, None)]

    def test_once_the_sowing_moves_there_is_time_for_a_test_after_all(self) -> None:
        later = ann(lot_origin="saved", plot_sowing=(TODAY + 30 * DAY).isoformat())

        assert self.helps(later.knows("lot.closed", "untested", NOW)) == [
            (Why.UNTESTED, Help.TEST, TODAY + 20 * DAY)
        ]

    def test_bad_seed_comes_with_the_other_seed_to_bring(self) -> None:
        bad = ann(lot_origin="saved", lot_test=(40, 100), plot_area=FIELD_M2)

        assert self.helps(bad) == [(Why.BAD_SEED, Help.OTHER_SEED, 50)]

    def test_without_its_last_count_a_test_has_the_first_as_a_lower_bound(self) -> None:
        begun = TODAY - 11 * DAY
        early = ann(lot_test_day=begun.isoformat(), lot_test_sown=50, lot_early=30)

        (reason,) = self.reasons(early)

        assert (reason.why, reason.test, reason.since) == (Why.NO_FINAL, (30, 50), begun + 8 * DAY)

    def test_a_count_that_is_late_but_not_too_late_is_still_counted(self) -> None:
        """A count of the crop is too late from the seventh day after its own on."""
        (reason,) = self.reasons(ann(lot_test_day=(TODAY - 14 * DAY).isoformat()))
        assert (reason.help, reason.by) == (Help.COUNT, TODAY)

        (reason,) = self.reasons(ann(lot_test_day=(TODAY - 15 * DAY).isoformat()))
        assert reason.help is Help.TEST

    def test_who_said_stop_in_mid_test_is_visited_before_the_count_since_nobody_reminds(self) -> None:
        begun = TODAY - 3 * DAY
        stopped = replace(ann(lot_test_day=begun.isoformat()), stopped=NOW - 2 * DAY)

        (reason,) = self.reasons(stopped)

        assert (reason.why, reason.since) == (Why.BROKEN_OFF, TODAY - 2 * DAY)
        assert (reason.help, reason.by) == (Help.COUNT, begun + 14 * DAY)

    def test_who_said_stop_in_mid_test_and_comes_back_after_weeks_is_on_the_list(self) -> None:
        """No round closed the test, since none was asked of her meanwhile."""
        begun = TODAY - 35 * DAY
        back = ann(lot_origin="saved", plot_area=FIELD_M2, plot_sowing=(TODAY + 7 * DAY).isoformat())
        back = back.knows("lot.test_day", begun.isoformat(), NOW - 35 * DAY)
        back = back.knows("lot.test_sown", 50, NOW - 35 * DAY).knows("grower.language", "en", NOW)

        assert self.why(back) == {Why.BROKEN_OFF: begun + 8 * DAY}
        assert self.helps(back) == [(Why.BROKEN_OFF, Help.KEEP_BACK, GRAIN_KG)]

    def test_seed_with_a_label_is_asked_about_and_no_grain_kept_back_for_it(self) -> None:
        bought = ann(lot_origin="bought", lot_test_day=(TODAY - 20 * DAY).isoformat())

        assert self.helps(bought) == [(Why.BROKEN_OFF, Help.ASK, None)]

    def test_of_two_lots_each_is_looked_at(self) -> None:
        """The one in hand is good, the one aside failed."""
        both = begins(ann(lot_origin="saved", lot_test=(40, 100)), "lot").knows("lot.test", (90, 100), NOW)

        store = DictStore()
        keep(store, both)
        (visit,) = lists(store).visits()

        assert [(reason.why, reason.bag, reason.test) for reason in visit.reasons] == [
            (Why.BAD_SEED, 1, (40, 100))
        ]

    def test_who_asked_is_visited_since_the_first_question(self) -> None:
        asked = ann().asks("Why are my leaves pale?", NOW - 3 * DAY).asks("When do you come?", NOW)

        assert self.why(asked) == {Why.ASKED: TODAY - 3 * DAY}

    def test_the_most_pressing_comes_first_whatever_the_village(self) -> None:
        store = DictStore()
        numbers = [f"+9990088{place:05}" for place in range(4)]
        for number, village, test in zip(numbers, ("v2", "v1", "v1", "v1"), (40, 90, 50, 50), strict=True):
            record = Grower(number, agreed=NOW).knows("grower.village", village, NOW)
            record = record.knows("lot.test", (test, 100), NOW)
            record = record.knows("plot.sowing", (TODAY + int(number[-1]) * DAY).isoformat(), NOW - DAY)
            keep(store, record if number != numbers[1] else record.asks("Why?", NOW))

        found = lists(store).visits()

        assert [(visit.village, visit.number, visit.days_left) for visit in found] == [
            ("v2", numbers[0], 0),
            ("v1", numbers[2], 2),
            ("v1", numbers[3], 3),
            ("v1", numbers[1], 1),
        ]
        assert [visit.village for visit in lists(store).visits("v2")] == ["v2"]
