"""Nodules: only those that are red inside count, both edges are on the better side, absurd counts are refused."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.agronomy import cautions
from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.harvest_figures import NoduleScheme
from advisor.agronomy.nodules import Nodulation, NoduleCount, NoduleNext, nodule_score
from advisor.agronomy.nutrients import N

SCHEME = NoduleScheme("x", 10, 1, 5, 500, N(56), N(60))
ORDER = (Nodulation.NONE, Nodulation.POOR, Nodulation.WORKING)

plants = st.integers(1, 50)
cuts = st.integers(0, 20)


@st.composite
def counts(draw):
    red, white, green, brown = (draw(cuts) for _ in range(4))
    cut = red + white + green + brown
    number = draw(plants)
    nodules = draw(st.integers(cut, number * SCHEME.most_nodules)) if cut else 0
    assume(cut <= nodules or not cut)
    return NoduleCount(number, nodules, red, white, green, brown)


class TestTheVerdict:
    @pytest.mark.parametrize(
        ("nodules", "expected"),
        [
            (60, Nodulation.WORKING),
            (59, Nodulation.POOR),
            (6, Nodulation.POOR),
            (5, Nodulation.NONE),
            (0, Nodulation.NONE),
        ],
    )
    def test_at_both_edges_of_the_middle_band_is_the_better_one(self, nodules, expected):
        count = NoduleCount(6, nodules, red=min(nodules, 3))

        assert nodule_score(count, SCHEME).verdict is expected

    def test_an_edge_that_no_binary_fraction_meets_is_met(self):
        # 3 red of 7 cut, 70 nodules on 3 plants are exactly ten working ones a plant.
        assert nodule_score(NoduleCount(3, 70, red=3, white=4), SCHEME).verdict is Nodulation.WORKING

    @given(counts())
    def test_one_more_red_one_never_makes_it_worse(self, count):
        assume(count.white > 0)
        better = NoduleCount(count.plants, count.nodules, count.red + 1, count.white - 1, count.green, count.brown)

        verdict = nodule_score(count, SCHEME).verdict
        assert ORDER.index(nodule_score(better, SCHEME).verdict) >= ORDER.index(verdict)

    @given(counts())
    def test_it_is_the_same_for_twice_the_plants_and_twice_the_nodules(self, count):
        twice = NoduleCount(
            2 * count.plants, 2 * count.nodules, 2 * count.red, 2 * count.white, 2 * count.green, 2 * count.brown
        )

        assert nodule_score(twice, SCHEME).verdict is nodule_score(count, SCHEME).verdict
        assert nodule_score(twice, SCHEME).working_per_plant == pytest.approx(
            nodule_score(count, SCHEME).working_per_plant
        )

    @given(counts())
    def test_no_more_nodules_work_than_there_are(self, count):
        score = nodule_score(count, SCHEME)

        assert 0 <= score.working_per_plant <= score.nodules_per_plant + 1e-9

    @pytest.mark.parametrize(
        ("count", "working"),
        [(NoduleCount(6, 72, red=8, white=2), 9.6), (NoduleCount(6, 3, red=1), 0.5), (NoduleCount(6, 0), 0)],
    )
    def test_names_the_mean_of_all_and_of_those_that_work(self, count, working):
        score = nodule_score(count, SCHEME)

        assert score.working_per_plant == pytest.approx(working)
        assert score.nodules_per_plant == count.nodules / count.plants

    def test_rests_on_a_single_one_cut_open_where_there_is_no_other(self):
        assert nodule_score(NoduleCount(1, 10, red=1), SCHEME).verdict is Nodulation.WORKING

    def test_two_guides_differ_on_eight_nodules(self, crop):
        count = NoduleCount(5, 40, red=5)

        found = {scheme.key: nodule_score(count, scheme).verdict for scheme in crop.harvest.nodules}
        assert found == {"ten": Nodulation.POOR, "seven": Nodulation.WORKING}


class TestWhatComesNext:
    @pytest.mark.parametrize(
        ("count", "expected"),
        [
            (NoduleCount(6, 72, red=10), NoduleNext.LEAVE),
            (NoduleCount(6, 72, red=1, white=9), NoduleNext.LOOK_AGAIN),
            (NoduleCount(6, 72, red=1, brown=9), NoduleNext.DRAIN),
            (NoduleCount(6, 72, red=1, green=9), NoduleNext.CALL_AND_INOCULATE_NEXT),
            (NoduleCount(6, 20, red=5, white=5), NoduleNext.CALL_AND_INOCULATE_NEXT),
            (NoduleCount(6, 20, red=4, white=6), NoduleNext.LOOK_AGAIN),
            (NoduleCount(6, 20, red=5, brown=5), NoduleNext.CALL_AND_INOCULATE_NEXT),
            (NoduleCount(6, 20, red=4, brown=6), NoduleNext.DRAIN),
            (NoduleCount(6, 20, red=7, brown=2, white=3), NoduleNext.CALL_AND_INOCULATE_NEXT),
            (NoduleCount(6, 0), NoduleNext.CALL_AND_INOCULATE_NEXT),
        ],
    )
    def test_follows_from_the_colour_inside(self, count, expected):
        assert nodule_score(count, SCHEME).next is expected

    def test_from_too_few_plants_nobody_is_sent_for_nitrogen(self):
        few, enough = nodule_score(NoduleCount(4, 0), SCHEME), nodule_score(NoduleCount(5, 0), SCHEME)

        assert (few.rough, few.next, few.rescue_low, few.rescue_high) == (True, NoduleNext.LOOK_AGAIN, None, None)
        assert (enough.rough, enough.next) == (False, NoduleNext.CALL_AND_INOCULATE_NEXT)
        assert (enough.rescue_low, enough.rescue_high) == (N(56), N(60))

    @given(counts())
    def test_nitrogen_is_named_only_where_nodules_fail_and_with_its_cautions(self, count):
        score = nodule_score(count, SCHEME)

        assert (score.rescue_low is None) == (score.rescue_high is None)
        assert set(score.cautions) <= set(cautions.CAUTIONS)
        assert cautions.ASK_DEALER_OR_EXTENSION in score.cautions
        if score.rescue_low is not None:
            assert score.verdict is not Nodulation.WORKING
            assert cautions.NO_BARE_HANDS_WITH_FERTILISER in score.cautions


def test_where_nothing_fails_the_extension_office_alone_is_named():
    score = nodule_score(NoduleCount(6, 72, red=10), SCHEME)

    assert score.cautions == (cautions.ASK_DEALER_OR_EXTENSION,)


class TestACountThatCannotBe:
    @pytest.mark.parametrize("name", ["nodules", "red", "white", "green", "brown"])
    def test_below_0_is_refused(self, name):
        with pytest.raises(OutOfRange, match=f"^{name} is -1"):
            NoduleCount(**{"plants": 5, "nodules": 9, name: -1})

    @pytest.mark.parametrize("number", [0, -1, 1001])
    def test_of_no_plant_is_refused(self, number):
        with pytest.raises(OutOfRange, match=r"^plants is .*, allowed is 1 to 1000 \(unit plants\)"):
            NoduleCount(number, 0)
        assert NoduleCount(1000, 0).plants == 1000

    def test_of_more_cut_open_than_found_is_refused(self):
        with pytest.raises(CannotBe, match="4 nodules were cut open and only 3 found: count") as refused:
            NoduleCount(5, 3, red=2, white=2)
        assert refused.value.name == "more_cut_than_found"

    def test_with_none_cut_open_is_refused(self):
        with pytest.raises(CannotBe, match="3 nodules were found and none was cut open: cut some open") as refused:
            NoduleCount(5, 3)
        assert refused.value.name == "none_cut_open"

    def test_of_more_than_a_plant_bears_is_refused(self):
        assert nodule_score(NoduleCount(5, 2500, red=1), SCHEME).verdict is Nodulation.WORKING
        with pytest.raises(OutOfRange, match=r"^nodules on a plant is 500.2, .* \(unit nodules/plant\)"):
            nodule_score(NoduleCount(5, 2501, red=1), SCHEME)


def test_a_scheme_is_found_by_its_key_and_without_one_the_first_is(crop):
    assert crop.harvest.scheme().key == "ten"
    assert crop.harvest.scheme("seven").enough == 7
    with pytest.raises(MissingFigure, match=r"harvest.nodules eight: .*; known: ten, seven"):
        crop.harvest.scheme("eight")


def test_the_words_that_flows_and_programs_read_stay():
    assert [str(each) for each in Nodulation] == ["working", "poor", "none"]
    assert [str(each) for each in NoduleNext] == ["leave", "look_again", "drain", "call_and_inoculate_next"]
