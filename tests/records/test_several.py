"""Several plots and lots in one record: one in hand, the others kept aside as they were learnt."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.records.aside import MOST, Aside
from advisor.records.codec import grower_from_json, grower_to_json
from advisor.records.grower import Grower
from advisor.records.several import all_of, begins, count_of_facts, drops, place_in_hand, takes_up
from tests.records.test_grower import NOON

SCOPES = st.sampled_from(sorted(MOST))
#: What can be done to a record, the place of a plot taken round so that it is mostly there.
DOINGS = st.lists(
    st.one_of(
        st.tuples(st.just("know"), SCOPES, st.integers(1, 9)),
        st.tuples(st.just("begin"), SCOPES, st.just(0)),
        st.tuples(st.just("take"), SCOPES, st.integers(0, 3)),
        st.tuples(st.just("drop"), SCOPES, st.integers(0, 3)),
    ),
    max_size=14,
)


def done(record, doings):
    for nth, (what, scope, number) in enumerate(doings):
        if what == "know":
            record = record.knows(f"{scope}.thing", number, NOON + timedelta(minutes=nth))
        elif what == "begin":
            try:
                record = begins(record, scope)
            except CannotBe:
                assert len([facts for facts in all_of(record, scope) if facts]) == MOST[scope]
        else:
            place = number % len(all_of(record, scope))
            record = takes_up(record, scope, place) if what == "take" else drops(record, scope, place)
    return record


def two_fields():
    first = Grower().knows("plot.area", 1.0, NOON).knows("grower.village", "dovi", NOON)
    return begins(first, "plot").knows("plot.area", 2.0, NOON + timedelta(days=1))


def areas(record):
    return [next((fact.value for fact in facts), None) for facts in all_of(record, "plot")]


class TestOneInHand:
    def test_the_facts_of_the_one_in_hand_are_those_of_the_scope(self):
        assert two_fields().fact("plot.area").value == 2.0

    def test_another_is_taken_up_with_the_time_at_which_it_was_learnt(self):
        first = takes_up(two_fields(), "plot", 0)

        assert first.fact("plot.area").value == 1.0
        assert first.fact("plot.area").learnt == NOON
        assert takes_up(first, "plot", 1) == two_fields()

    def test_a_field_keeps_its_number_while_others_are_taken_up(self):
        assert areas(two_fields()) == areas(takes_up(two_fields(), "plot", 0)) == [1.0, 2.0]
        assert [place_in_hand(record, "plot") for record in (two_fields(), takes_up(two_fields(), "plot", 0))] == [
            1,
            0,
        ]

    def test_what_is_known_of_the_grower_and_of_the_seed_stays_where_it_is(self):
        record = two_fields().knows("lot.origin", "saved", NOON)

        other = takes_up(record, "plot", 0)

        assert other.fact("grower.village") == record.fact("grower.village")
        assert other.fact("lot.origin") == record.fact("lot.origin")

    def test_one_that_is_not_there_cannot_be_taken_up(self):
        with pytest.raises(OutOfRange, match="plot is 2, allowed is 0 to 1"):
            takes_up(two_fields(), "plot", 2)


class TestBeginningAndDropping:
    def test_a_new_one_is_the_last_and_nothing_is_known_of_it(self):
        record = begins(two_fields(), "plot")

        assert areas(record) == [1.0, 2.0, None]
        assert record.fact("plot.area") is None

    def test_one_of_which_nothing_was_said_is_not_kept_aside(self):
        assert takes_up(begins(two_fields(), "plot"), "plot", 0) == takes_up(two_fields(), "plot", 0)
        assert begins(begins(two_fields(), "plot"), "plot") == begins(two_fields(), "plot")

    @pytest.mark.parametrize(("scope", "most"), [("plot", 4), ("lot", 3)])
    def test_there_are_so_many_at_most(self, scope, most):
        record = Grower()
        for number in range(most):
            record = begins(record, scope).knows(f"{scope}.thing", number, NOON)

        assert len(all_of(record, scope)) == most
        with pytest.raises(CannotBe, match="drop one first"):
            begins(record, scope)

    def test_without_the_one_in_hand_the_first_of_the_others_is_taken_up(self):
        left = drops(two_fields(), "plot")

        assert left == Grower().knows("plot.area", 1.0, NOON).knows("grower.village", "dovi", NOON)

    def test_without_another_the_one_in_hand_stays_and_moves_up(self):
        left = drops(two_fields(), "plot", 0)

        assert areas(left) == [2.0]
        assert place_in_hand(left, "plot") == 0

    def test_without_the_only_one_nothing_is_known_of_any(self):
        assert drops(Grower().knows("plot.area", 1.0, NOON), "plot") == Grower()


class TestLaws:
    @given(DOINGS)
    def test_nothing_is_kept_aside_of_which_nothing_is_known_and_never_too_many(self, doings):
        record = done(Grower(), doings)

        for aside in record.aside:
            assert aside.others
            assert all(aside.others)
            assert aside.place <= len(aside.others) < MOST[aside.scope] + (not record.facts)
        assert record.aside == tuple(sorted(record.aside, key=lambda aside: aside.scope))

    @given(DOINGS, SCOPES, st.integers(0, 3))
    def test_taking_up_loses_no_fact_and_going_back_changes_nothing(self, doings, scope, number):
        record = done(Grower(), doings)
        record = record.knows(f"{scope}.thing", 0, NOON)
        here, place = place_in_hand(record, scope), number % len(all_of(record, scope))

        there = takes_up(record, scope, place)

        assert all_of(there, scope) == all_of(record, scope)
        assert count_of_facts(there) == count_of_facts(record)
        assert takes_up(there, scope, here) == record

    @given(DOINGS)
    def test_a_record_is_stored_and_read_as_it_is(self, doings):
        record = done(Grower("+99900000001"), doings)

        assert grower_from_json(grower_to_json(record)) == record


class TestStored:
    def test_an_old_record_has_one_plot_and_one_lot(self):
        old = {"n": "+99900000001", "a": 0, "f": {"plot.area": [0, 10117.0], "lot.origin": [0, "saved"]}}

        record = grower_from_json(old)

        assert record.aside == ()
        assert [len(all_of(record, scope)) for scope in ("plot", "lot")] == [1, 1]
        assert grower_to_json(record) == old

    def test_what_is_kept_aside_stands_beside_the_facts(self):
        record = begins(Grower("+99900000001").knows("lot.test", (45, 50), NOON), "lot")

        assert grower_to_json(record) == {
            "n": "+99900000001",
            "o": {"lot": [1, {"lot.test": [int(NOON.timestamp()), [45, 50]]}]},
        }
        assert record.aside == (Aside("lot", 1, (Grower().knows("lot.test", (45, 50), NOON).facts,)),)
