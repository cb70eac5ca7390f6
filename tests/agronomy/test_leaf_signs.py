"""Leaf signs: causes that never show what was seen are out, the rest in order; no product and no dose anywhere."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy import cautions
from advisor.agronomy.errors import DataFault
from advisor.agronomy.leaf_signs import Call, Kind, leaf_causes, read_leaf_signs
from tests.agronomy.conftest import HOME


def keys(diagnosis):
    return [each.cause.key for each in diagnosis.likely]


class TestTheOrder:
    @given(data=st.data())
    def test_is_by_how_much_is_explained_then_by_how_little_is_missing(self, leaf_signs, data):
        seen = data.draw(st.lists(st.sampled_from([sign.key for sign in leaf_signs.signs]), min_size=1))

        likely = leaf_causes(leaf_signs, seen).likely

        ranks = [(-len(each.seen), len(each.look_for)) for each in likely]
        assert ranks == sorted(ranks)
        assert all(each.seen for each in likely)

    @given(data=st.data())
    def test_no_cause_stands_that_never_shows_what_was_seen_and_no_other_is_left_out(self, leaf_signs, data):
        seen = data.draw(st.lists(st.sampled_from([sign.key for sign in leaf_signs.signs]), min_size=1))

        expected = {
            cause.key
            for cause in leaf_signs.causes
            if set(cause.shows) & set(seen) and not set(cause.never) & set(seen)
        }
        assert set(keys(leaf_causes(leaf_signs, seen))) == expected

    @given(data=st.data())
    def test_the_order_in_which_signs_are_named_changes_nothing(self, leaf_signs, data):
        seen = data.draw(
            st.lists(st.sampled_from([sign.key for sign in leaf_signs.signs]), min_size=1, unique=True)
        )
        again = data.draw(st.permutations(seen))

        assert keys(leaf_causes(leaf_signs, [*again, again[0]])) == keys(leaf_causes(leaf_signs, seen))

    @given(data=st.data())
    def test_every_sign_of_a_cause_is_either_seen_or_looked_for(self, leaf_signs, data):
        seen = data.draw(st.lists(st.sampled_from([sign.key for sign in leaf_signs.signs]), min_size=1))

        for each in leaf_causes(leaf_signs, seen).likely:
            assert sorted((*each.seen, *each.look_for)) == sorted(each.cause.shows)
            assert sorted((*each.seen, *each.not_explained)) == sorted(set(seen))


class TestWhatThePublishedKeysSay:
    @pytest.mark.parametrize(
        ("seen", "first", "source"),
        [
            (["old_first", "all_pale"], "nitrogen", "Ontario 2025"),
            (["old_first", "edge_yellow"], "potassium", "Ontario 2025"),
            (["old_first", "veins_green", "edge_curls_down"], "magnesium", "Ontario 2025"),
            (["blue_green", "late_bloom"], "phosphorus", "Ontario 2025"),
            (["young_first", "veins_green", "whitens"], "iron", "Ontario 2025"),
            (["young_first", "veins_green", "rusty"], "zinc", "Ontario 2025"),
            (["young_first", "all_pale", "sandy_ground"], "sulphur", "Ontario 2025"),
            (["young_first", "veins_green", "stunted", "limy_ground"], "manganese", "Kansas State eUpdate 598"),
            (["low_first", "blisters_below"], "rust", "Illinois; Australia"),
            (["top_after_storm", "angular_wet_spots"], "bacterial_blight", "NDSU"),
            (["raised_pale_centre"], "bacterial_pustule", "as repeated"),
            (["low_first", "brown_spots"], "brown_spot", "NDSU"),
            (["ringed_spots"], "frogeye", "Plant Health"),
            (["grey_below"], "downy_mildew", "as repeated"),
        ],
        ids=lambda value: value if isinstance(value, str) else "+".join(value),
    )
    def test_comes_first(self, leaf_signs, seen, first, source):
        assert source
        assert keys(leaf_causes(leaf_signs, seen))[0] == first

    @pytest.mark.parametrize("mobile", ["nitrogen", "phosphorus", "potassium", "magnesium"])
    def test_what_moves_in_the_plant_shows_low_first_and_never_high(self, leaf_signs, mobile):
        """Kansas State University, eUpdate 598: N, P, K and Mg move; Fe, Mn, S and Zn do not."""
        cause = next(cause for cause in leaf_signs.causes if cause.key == mobile)

        assert "old_first" in cause.shows
        assert "young_first" in cause.never

    @pytest.mark.parametrize("fixed", ["iron", "manganese", "zinc", "sulphur"])
    def test_what_does_not_move_shows_high_first_and_never_low(self, leaf_signs, fixed):
        cause = next(cause for cause in leaf_signs.causes if cause.key == fixed)

        assert "young_first" in cause.shows
        assert "old_first" in cause.never

    def test_rust_and_pustule_are_told_apart_by_the_dust(self, leaf_signs):
        found = leaf_causes(leaf_signs, ["tan_spots", "yellow_halo"])

        assert "blisters_below" in found.tells_apart or "rust" not in keys(found)[:2]


class TestWhatPublishedGuidesSayOfOtherCrops:
    @pytest.mark.parametrize(
        ("crop", "seen", "first", "source"),
        [
            ("groundnut", ["brown_spots_above", "yellow_halo"], "early_leaf_spot", "Infonet Biovision"),
            ("groundnut", ["dark_rough_below"], "late_leaf_spot", "Infonet Biovision"),
            ("groundnut", ["orange_blisters", "dry_leaves_stay"], "rust", "Agrobase"),
            ("groundnut", ["yellow_veins_green", "stunted_bushy"], "rosette", "NARO, Uganda"),
            ("cowpea", ["mosaic", "stunted"], "mosaic_virus", "Infonet Biovision"),
            ("cowpea", ["red_brown_spots", "yellow_halo"], "cercospora", "Pacific Pests, Pathogens and Weeds"),
            ("common_bean", ["angular_spots", "mould_below"], "angular_leaf_spot", "Pacific Pests and Pathogens"),
            ("common_bean", ["rust_blisters"], "rust", "African Farming"),
            ("common_bean", ["dark_veins"], "anthracnose", "Texas A&M University"),
            ("common_bean", ["wide_halo", "cool_weather"], "halo_blight", "Texas A&M University"),
            ("common_bean", ["brown_drops_fast", "warm_weather"], "common_blight", "Texas A&M University"),
            ("common_bean", ["mosaic", "cupped"], "mosaic_virus", "Moja Academy"),
        ],
    )
    def test_comes_first(self, all_leaf_signs, crop, seen, first, source):
        assert source
        signs = next(each for each in all_leaf_signs if each.crop == crop)
        assert keys(leaf_causes(signs, seen))[0] == first


class TestWhenToCall:
    def test_rust_is_shown_to_the_agent_today(self, leaf_signs):
        assert leaf_causes(leaf_signs, ["blisters_below"]).call is Call.TODAY

    def test_what_could_as_well_be_rust_too(self, leaf_signs):
        assert leaf_causes(leaf_signs, ["low_first"]).call is Call.TODAY

    def test_hunger_waits_for_the_next_visit(self, leaf_signs):
        assert leaf_causes(leaf_signs, ["edge_yellow"]).call is Call.NEXT_VISIT

    def test_what_nothing_explains_is_shown_within_the_week(self, leaf_signs):
        unexplained = leaf_causes(leaf_signs, ["old_first", "young_first", "blisters_below", "grey_below"])

        assert (unexplained.likely, unexplained.tells_apart, unexplained.call) == ((), (), Call.THIS_WEEK)

    @given(data=st.data())
    def test_dealer_and_label_have_the_last_word_whatever_was_seen(self, leaf_signs, data):
        seen = data.draw(st.lists(st.sampled_from([sign.key for sign in leaf_signs.signs]), min_size=1))

        found = leaf_causes(leaf_signs, seen)

        assert {cautions.ASK_DEALER_OR_EXTENSION, cautions.FOLLOW_THE_PACK} <= set(found.cautions)
        ill = any(each.cause.kind is Kind.DISEASE for each in found.likely)
        assert (cautions.KEEP_FROM_CHILDREN_AND_FOOD in found.cautions) == ill


class TestTheFiles:
    def test_two_causes_never_show_just_the_same(self, all_leaf_signs):
        for signs in all_leaf_signs:
            shown = [frozenset(cause.shows) for cause in signs.causes]

            assert len(set(shown)) == len(shown), signs.crop

    def test_no_dose_and_no_kind_of_product_is_named(self, all_leaf_signs):
        causes = [cause for signs in all_leaf_signs for cause in signs.causes]
        said = " ".join(f"{cause.text} {cause.apart} {cause.then}" for cause in causes).casefold()

        assert not re.search(r"\d+ ?(g|kg|ml|l|litres?|%)\b|fungicide|insecticide|herbicide|spray", said)

    def test_a_cause_comes_first_when_all_that_it_shows_is_seen(self, all_leaf_signs):
        for signs in all_leaf_signs:
            for cause in signs.causes:
                assert keys(leaf_causes(signs, cause.shows))[0] == cause.key, (signs.crop, cause.key)

    def test_every_legume_that_is_shipped_has_one_and_its_rust_is_shown_today(self, crops, all_leaf_signs):
        legumes = {crop.key for crop in crops if crop.days is not None}

        assert {signs.crop for signs in all_leaf_signs} == legumes
        for signs in all_leaf_signs:
            assert all(cause.call is Call.TODAY for cause in signs.causes if cause.key == "rust")

    def test_every_file_is_named_after_its_crop(self, sources):
        files = sorted((HOME / "agronomy/data/leaf_signs").glob("*.toml"))

        assert files
        assert [read_leaf_signs(file.read_text("utf-8"), sources).crop for file in files] == [
            file.stem for file in files
        ]


def test_a_cause_without_signs_is_not_said_to_name_a_wrong_one(leaf_signs_text, sources):
    without = leaf_signs_text.replace('shows = ["old_first", "edge_yellow"]\n', "").replace("edge_yellow", "rusty")

    with pytest.raises(DataFault) as refused:
        read_leaf_signs(without, sources)
    assert any(fault.startswith("causes[8].shows is missing") for fault in refused.value.faults)
    assert not any("no sign" in fault for fault in refused.value.faults)


def test_the_words_that_flows_and_programs_read_stay():
    assert [str(each) for each in (*Call, *Kind)] == ["today", "this_week", "next_visit", "hunger", "disease"]
