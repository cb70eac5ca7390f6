"""What is known of a grower, and how it is stored."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from advisor.records.codec import grower_from_json, grower_to_json
from advisor.records.grower import Fact, Grower

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)
MOMENTS = st.integers(0, 4_000_000_000).map(lambda seconds: datetime.fromtimestamp(seconds, UTC))
VALUES = st.one_of(
    st.text(max_size=20),
    st.integers(-(2**40), 2**40),
    st.floats(allow_nan=False, allow_infinity=False),
    st.booleans(),
    st.tuples(st.integers(0, 400), st.integers(0, 400)),
)
FACTS = st.dictionaries(
    st.from_regex(r"(grower|plot|lot)\.[a-z]{1,8}", fullmatch=True), st.tuples(VALUES, MOMENTS), max_size=6
)
PASSED = st.dictionaries(
    st.from_regex(r"[a-z0-9]{1,8}", fullmatch=True), st.lists(st.sampled_from(["a", "b.1"]), min_size=1).map(tuple)
)


class TestFacts:
    def test_a_later_fact_takes_the_place_of_an_earlier(self):
        ann = Grower().knows("plot.area", 1.0, NOON).knows("plot.area", 2.0, NOON + timedelta(days=1))

        assert ann.facts == (Fact("plot.area", 2.0, NOON + timedelta(days=1)),)

    def test_a_fact_is_fresh_up_to_its_last_moment(self):
        ann = Grower().knows("plot.area", 1.0, NOON)

        assert ann.fresh("plot.area", NOON + timedelta(days=3), timedelta(days=3)) == 1.0
        assert ann.fresh("plot.area", NOON + timedelta(days=3, seconds=1), timedelta(days=3)) is None

    def test_one_that_holds_for_ever_never_ages(self):
        assert (
            Grower().knows("grower.language", "sw", NOON).fresh("grower.language", NOON.replace(year=2099), None)
            == "sw"
        )

    def test_what_is_forgotten_is_gone(self):
        assert Grower().knows("lot.test", (45, 50), NOON).forgets(("lot.test", "lot.none")) == Grower()


class TestRounds:
    def test_a_grower_is_done_with_the_steps_of_each_round_apart(self):
        ann = Grower().passes("later", ("ask",)).passes("demo", ("one",)).passes("demo", ("two", "two.1"))

        assert ann.passed_in("demo") == ("one", "two", "two.1")
        assert ann.passed_in("later") == ("ask",)
        assert ann.passed_in("never") == ()


class TestStorage:
    @given(facts=FACTS, agreed=st.none() | MOMENTS, stopped=st.none() | MOMENTS, passed=PASSED)
    def test_a_record_comes_back_as_it_was(self, facts, agreed, stopped, passed):
        known = tuple(Fact(name, value, learnt) for name, (value, learnt) in sorted(facts.items()))
        grower = Grower("+99900000001", agreed, stopped, known, tuple(sorted(passed.items())))

        assert grower_from_json(grower_to_json(grower)) == grower
