"""Growers from a table: what is taken in, what is merged by which rule, who is kept out; figures stay exact."""

from __future__ import annotations

from datetime import timedelta
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.dialogue.talk import Agree, Begin, Erase, Event, EventKind, Keep, Start, Stop, Withdraw
from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.importing import check
from advisor.service.moving import Moving
from advisor.service.stored import from_bytes
from advisor.store.api import Change, Entry, Store, StoreDamaged
from advisor.store.memory import DictStore
from advisor.store.names import BUCKETS, bucket_of
from advisor.store.recount import recount
from tests.service.importing import (
    ANN,
    BEN,
    BOOK,
    DAYS,
    RETENTION,
    TERMS,
    brought,
    checked,
    day,
    facts_of,
    line,
    record_of,
)
from tests.service.lived import figures_of
from tests.service.stage import (
    IDS,
    NOW,
    StandingClock,
    grower_id,
    inbound,
    relaying,
    says,
    session,
    sms,
    ussd,
)


class TestWhoIsNew:
    def test_has_every_fact_of_the_line_since_the_day_it_was_told(self, store: Store) -> None:
        cells = {
            "language": "sw",
            "village": "dovi",
            "field_area": "2.5",
            "field_unit": "acre",
            "sowing_date": "2027-03-20",
            "seed_origin": "saved",
            "agent": "valley agent",
            "told_on": "2027-02-20",
        }
        done = brought(store, line(**cells))

        assert (done.new, done.changed, done.same, done.remarks) == (1, 0, 0, ())
        assert facts_of(store) == {
            "grower.agent": "a1",
            "grower.language": "sw",
            "grower.village": "v1",
            "lot.origin": "saved",
            # 2.5 acres of 4046.8564224 m², as the international acre is defined
            "plot.area": pytest.approx(10117.141056, rel=1e-12),
            "plot.sowing": "2027-03-20",
        }
        assert {fact.learnt.isoformat() for fact in record_of(store).facts} == {day("2027-02-20")}

    def test_is_recorded_with_how_and_when_consent_was_given(self, store: Store) -> None:
        brought(store, line(consent_how="spoken", consent_on="2027-01-15"))

        record = record_of(store)
        assert record.agreed is not None
        assert (record.number, record.agreed_how) == (ANN, "spoken")
        assert record.agreed.isoformat() == day("2027-01-15")

    def test_counts_in_the_village_once_however_often_the_file_is_imported(self, store: Store) -> None:
        table = (line(village="Dovi", seed_origin="saved"), line(BEN, village="Kesu"))
        for _ in range(3):
            brought(store, *table)

        assert store.counts("v1") == {"growers": 1, "started": 1}
        assert store.counts("v2") == {"growers": 1}
        assert recount(store, figures_of, ["v1", "v2"]) == ()

    def test_is_kept_for_as_long_as_if_heard_of_on_the_last_day_told(self, store: Store) -> None:
        brought(store, line(told_on="2027-02-20"))
        gone_ms = unix_ms(DAYS.begins(NOW.date().replace(month=2, day=20)) + RETENTION)
        bucket = bucket_of(grower_id(ANN))

        assert store.idle(bucket, gone_ms - 1, 9) == ()
        assert [idle.grower for idle in store.idle(bucket, gone_ms, 9)] == [grower_id(ANN)]

    def test_comes_straight_to_the_menu_in_their_language_when_they_dial(self, store: Store) -> None:
        from advisor.dialogue.step import step

        brought(store, line(language="fr", village="Dovi"))

        outcome = step(BOOK, None, record_of(store), Event(EventKind.BEGIN, "", "ussd:s1", "m1"), NOW)
        assert outcome.session is not None
        assert (outcome.session.language, outcome.session.spots[-1].screen) == ("fr", "menu")

    def test_keeps_the_conversation_that_was_open_and_does_not_lapse_with_it(self, store: Store) -> None:
        inbound(store, says("Consent?", to=session())).take(ussd("1", number=ANN))
        brought(store, line())

        later_ms = unix_ms(NOW + timedelta(hours=2))
        assert store.lapse(bucket_of(grower_id(ANN)), later_ms, 9) == 0
        assert record_of(store).agreed is not None
        assert from_bytes(store.value(grower_id(ANN))[1]).session is not None

    def test_of_whom_the_dry_run_speaks_is_not_written(self, store: Store) -> None:
        done = brought(store, line(), line(BEN), writes=False)

        assert done.new == 2
        assert list(store.growers()) == []


class TestTheRuleOfMerging:
    def test_of_lines_of_one_number_the_fact_told_later_wins_wherever_it_stands(self, store: Store) -> None:
        brought(
            store,
            line(village="Dovi", seed_origin="saved", told_on="2027-02-20"),
            line("0001000001", village="Kesu", language="hi", told_on="2027-02-10"),
        )

        assert facts_of(store) == {"grower.village": "v1", "lot.origin": "saved", "grower.language": "hi"}

    def test_of_one_day_the_lower_line_wins(self, store: Store) -> None:
        brought(store, line(village="Dovi"), line(village="Kesu"))

        assert facts_of(store)["grower.village"] == "v2"

    def test_the_earlier_consent_counts_with_how_it_was_given(self, store: Store) -> None:
        brought(store, line(consent_on="2027-02-01"), line(consent_how="spoken", consent_on="2027-01-01"))

        record = record_of(store)
        assert record.agreed is not None
        assert (record.agreed_how, record.agreed.isoformat()) == ("spoken", day("2027-01-01"))

    def test_each_merged_line_is_named_with_the_one_it_goes_into(self) -> None:
        found = checked(line(), line(BEN), line("0001000001"))

        assert [(remark.line, remark.outcome) for remark in found.remarks] == [(4, "merged")]
        assert "line 2" in found.remarks[0].reason
        assert len(found.rows) == 2

    @pytest.mark.parametrize(
        ("upper", "lower", "columns"),
        [
            ({"village": "Dovi"}, {"village": "Kesu"}, "village"),
            ({"language": "sw"}, {"language": "fr", "told_on": "2027-02-20"}, "language"),
            (
                {"village": "Dovi", "field_area": "1", "field_unit": "acre"},
                {"village": "Kesu", "field_area": "2", "field_unit": "acre"},
                "village, field_area",
            ),
        ],
    )
    def test_a_merged_line_that_may_be_another_person_is_doubted(
        self, upper: dict[str, str], lower: dict[str, str], columns: str
    ) -> None:
        found = checked(line(**upper), line(BEN), line(**lower))

        doubted = [(remark.line, remark.column) for remark in found.remarks if remark.outcome == "doubted"]
        assert doubted == [(4, columns)]
        assert "line 2" in found.remarks[-1].reason
        assert len(found.rows) == 2, "by the rule they are merged all the same"

    @pytest.mark.parametrize(
        "lower",
        [
            {},
            {"village": "dovi", "field_area": "1", "field_unit": "acre", "sowing_date": "2027-03-20"},
            {"seed_origin": "saved", "told_on": "2027-02-20"},
        ],
    )
    def test_a_merged_line_that_says_the_same_of_the_person_is_not(self, lower: dict[str, str]) -> None:
        found = checked(line(village="Dovi", field_area="1", field_unit="acre"), line(**lower))

        assert [remark.outcome for remark in found.remarks] == ["merged"]

    def test_what_the_grower_said_that_day_or_later_stays(self, store: Store) -> None:
        inbound(store, says("Noted.", Agree(), Keep("grower.village", "v3"))).take(ussd("3", number=ANN))
        inbound(store, says("Noted.", Keep("lot.origin", "bought"))).take(ussd("4", id="m2", number=ANN))
        before = store.value(grower_id(ANN))

        done = brought(store, line(village="Dovi", seed_origin="saved", told_on="2027-03-01"))

        assert (done.new, done.changed, done.same) == (0, 0, 1)
        assert store.value(grower_id(ANN)) == before

    def test_what_was_told_after_the_grower_spoke_is_taken_and_the_rest_stays(self, store: Store) -> None:
        start = StandingClock(NOW - timedelta(days=20))
        keeps = (Agree(), Keep("grower.village", "v3"), Keep("lot.origin", "bought"))
        inbound(store, says("Noted.", *keeps), start).take(ussd("3", number=ANN, at=start.now()))
        agreed = record_of(store).agreed

        done = brought(store, line(village="Dovi", told_on="2027-02-25"))

        assert done.changed == 1
        assert facts_of(store) == {"grower.village": "v1", "lot.origin": "bought"}
        assert (record_of(store).agreed, record_of(store).agreed_how) == (agreed, "")
        assert (store.counts("v1")["growers"], store.counts("v3")["growers"]) == (1, 0)
        assert recount(store, figures_of, ["v1", "v3"]) == ()

    def test_of_several_fields_none_is_touched_and_that_is_said(self, store: Store) -> None:
        start = StandingClock(NOW - timedelta(days=20))
        keeps = (Agree(), Keep("plot.area", 4000.0), Begin("plot"), Keep("plot.area", 8000.0))
        inbound(store, says("Noted.", *keeps), start).take(ussd("3", number=ANN, at=start.now()))

        done = brought(store, line(field_area="1", field_unit="ha", village="Dovi", told_on="2027-02-25"))

        assert facts_of(store) == {"grower.village": "v1", "plot.area": 8000.0}
        assert [(remark.column, remark.outcome) for remark in done.remarks] == [("field_area", "partly")]


class TestTheDoNotContactList:
    def test_whoever_was_erased_is_kept_out(self, store: Store) -> None:
        inbound(store, says("Noted.", Agree())).take(ussd("1", number=ANN))
        inbound(store, says("Erased.", Erase())).take(ussd("1", id="m2", number=ANN))

        done = brought(store, line(consent_on="2027-03-01"), line(BEN))

        assert (done.new, [remark.outcome for remark in done.remarks]) == (1, ["kept out"])
        assert "do-not-contact" in done.remarks[0].reason
        assert store.value(grower_id(ANN)) == (0, None)

    def test_whoever_took_consent_back_is_kept_out_however_new_the_list(self, store: Store) -> None:
        inbound(store, says("Noted.", Agree())).take(ussd("1", number=ANN))
        inbound(store, says("We keep nothing.", Withdraw())).take(ussd("1", id="m2", number=ANN))

        done = brought(store, line(consent_on="2027-03-01"), line(BEN))

        assert (done.new, [(remark.line, remark.outcome) for remark in done.remarks]) == (1, [(2, "kept out")])
        assert "has taken consent back" in done.remarks[0].reason
        assert store.value(grower_id(ANN)) == (0, None)

    def test_whoever_agrees_again_after_that_is_off_the_list(self, store: Store) -> None:
        for at, effect in enumerate((Agree(), Withdraw(), Agree())):
            inbound(store, says("Noted.", effect)).take(ussd("1", id=f"m{at}", number=ANN))

        done = brought(store, line(village="Dovi", told_on="2027-02-25"))

        assert (done.changed, done.remarks) == (1, ())

    def test_whoever_said_stop_before_agreeing_is_kept_out(self, store: Store) -> None:
        inbound(store, says("Stopped.", Stop())).take(sms("stop", number=ANN))

        assert brought(store, line()).new == 0
        assert record_of(store).agreed is None

    def test_a_stop_stays_while_facts_that_are_newer_are_taken(self, store: Store) -> None:
        start = StandingClock(NOW - timedelta(days=20))
        inbound(store, says("Noted.", Agree()), start).take(ussd("1", number=ANN, at=start.now()))
        inbound(store, says("Stopped.", Stop()), start).take(sms("stop", id="m2", number=ANN, at=start.now()))
        stopped = record_of(store).stopped

        assert brought(store, line(village="Dovi", consent_on="2027-03-01")).changed == 1

        assert record_of(store).stopped == stopped
        assert stopped is not None
        assert store.stopped(grower_id(ANN), grower_id(ANN))

    def test_a_stop_that_comes_between_reading_and_writing_is_obeyed(self) -> None:
        class Interrupted(DictStore):
            def entries(self, bucket: int, numbers: list[str]) -> tuple[Entry | StoreDamaged, ...]:  # type: ignore[override]
                found = super().entries(bucket, numbers)
                inbound(self, says("Erased.", Erase())).take(ussd("1", id="m9", number=ANN))
                return found

        store = Interrupted()

        done = brought(store, line())

        assert (done.new, done.remarks[0].outcome) == (0, "kept out")
        assert store.value(grower_id(ANN)) == (0, None)

    def test_whoever_agrees_again_on_the_phone_can_be_imported_again(self, store: Store) -> None:
        inbound(store, says("Erased.", Erase())).take(ussd("1", number=ANN))
        inbound(store, says("Noted.", Agree(), Start())).take(ussd("1", id="m2", number=ANN))

        assert brought(store, line(village="Dovi", told_on="2027-02-25")).changed == 1


class TestNumbersThatMoved:
    @pytest.fixture
    def moved(self, store: Store) -> Store:
        start = StandingClock(NOW - timedelta(days=20))
        keeps = (Agree(), Keep("grower.village", "v1"))
        inbound(store, says("Noted.", *keeps), start).take(ussd("1", number=ANN, at=start.now()))
        Moving(store, StandingClock(), IDS).move(ANN, BEN, None)
        for bucket in range(BUCKETS):
            relaying(store).apply_waiting(bucket)
        return store

    def test_the_new_number_finds_the_record(self, moved: Store) -> None:
        done = brought(moved, line(BEN, village="Kesu", told_on="2027-02-25"))

        assert (done.new, done.changed) == (0, 1)
        assert facts_of(moved, BEN) == {"grower.village": "v2"}
        assert recount(moved, figures_of, ["v1", "v2"]) == ()

    def test_consent_taken_back_from_the_new_one_keeps_both_out(self, moved: Store) -> None:
        inbound(moved, says("We keep nothing.", Withdraw())).take(ussd("1", id="m2", number=BEN))

        done = brought(moved, line(ANN), line(BEN))

        assert (done.new, [remark.outcome for remark in done.remarks]) == (0, ["kept out", "kept out"])
        assert record_of(moved, BEN) == Grower()

    def test_the_old_number_makes_no_second_record(self, moved: Store) -> None:
        growers = set(moved.growers())

        done = brought(moved, line(ANN, village="Kesu", told_on="2027-02-25"))

        assert (done.new, done.changed, done.remarks[0].outcome) == (0, 0, "kept out")
        assert "moved to another number" in done.remarks[0].reason
        assert set(moved.growers()) == growers


def test_a_number_that_no_network_gives_out_is_taken_and_doubted() -> None:
    found = checked(line("+442079"))

    assert [remark.outcome for remark in found.remarks] == ["refused"]
    found = checked(line("+4420794000"))
    assert ([remark.outcome for remark in found.remarks], len(found.rows)) == (["doubted"], 1)


def test_a_grower_whose_value_is_of_no_use_holds_no_other_back(store: Store) -> None:
    store.commit(Change(grower_id(ANN), 0, b"no record", unix_ms(NOW)))

    done = brought(store, line(), line(BEN))

    assert (done.new, done.remarks[0].outcome, done.remarks[0].line) == (1, "kept out", 2)


VILLAGES = st.sampled_from(["Dovi", "Kesu", "Lawi"])
DAYS_TOLD = st.integers(1, 28).map(lambda told_on: f"2027-02-{told_on:02}")
LINES = st.lists(st.tuples(st.sampled_from([ANN, BEN]), VILLAGES, DAYS_TOLD), min_size=1, max_size=8)


@given(LINES, st.integers(0, 8))
def test_whatever_the_lines_and_wherever_the_file_is_cut_in_two_the_end_and_the_figures_are_the_same(
    lines: list[tuple[str, str, str]], cut: int
) -> None:
    """Days differ here, so that it does not matter which line is lower."""
    unlike = {(number, told_on): (number, village, told_on) for number, village, told_on in lines}.values()
    table = [line(number, village=village, told_on=told_on) for number, village, told_on in unlike]
    whole, parts = DictStore(), DictStore()

    brought(whole, *table)
    for part in (table[cut:], table[:cut], table):
        brought(parts, *part)

    for number in (ANN, BEN):
        assert facts_of(whole, number) == facts_of(parts, number)
    assert recount(parts, figures_of, ["v1", "v2", "v3"]) == ()


def test_the_list_of_the_demonstration_is_sound_and_names_one_grower_twice() -> None:
    with resources.files("advisor.programmes").joinpath("ulami_growers.csv").open("rb") as file:
        found = check(file, TERMS)

    assert [(remark.line, remark.column, remark.outcome) for remark in found.remarks] == [
        (12, "number", "merged"),
        (12, "field_area", "doubted"),
    ]
    assert (found.lines, len(found.rows)) == (12, 11)
