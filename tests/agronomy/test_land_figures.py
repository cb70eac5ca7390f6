"""Sections of land and seed in the files of crops and programmes: what they hold, and what is left out."""

from __future__ import annotations

import pytest

from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import CannotBe, DataFault, MissingFigure, OutOfRange
from advisor.agronomy.germination import Method
from advisor.agronomy.land_figures import CropLand, needed
from advisor.agronomy.land_plans import placement, seed_for_next_season, strip_plan
from advisor.agronomy.masses import SeedQuality, seed_masses
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.strips import Edges
from advisor.agronomy.units import area_in, area_m2
from tests.agronomy.conftest import HOME

GOOD = SeedQuality(0.85, Method.PAPER, 1.0)


@pytest.fixture(scope="module")
def by_key(crops):
    return {crop.key: crop for crop in crops}


@pytest.fixture(scope="module")
def main(demonstration, by_key):
    return by_key[demonstration.crops[0].crop]


@pytest.fixture(scope="module")
def text():
    return (HOME / "programmes/ulami.toml").read_text("utf-8")


def crop_text_of(key):
    return (HOME / f"agronomy/data/crops/{key}.toml").read_text("utf-8")


class TestShippedCrops:
    def test_are_one_main_crop_three_legumes_more_and_two_partners(self, by_key, demonstration):
        partners = {partner.crop for partner in demonstration.land.partners}

        assert set(by_key) >= {"soybean", "groundnut", "cowpea", "common_bean", "maize", "sorghum"}
        assert partners == {"maize", "sorghum"}

    def test_say_how_they_are_sown_and_when_a_test_is_counted(self, crops):
        for crop in crops:
            assert crop.land.sowing is not None
            assert crop.land.counts is not None
            assert crop.land.counts.first < crop.land.counts.final
            assert 0.01 <= crop.land.sowing.depth_low_m <= crop.land.sowing.depth_high_m <= 0.1

    def test_have_a_shell_only_where_they_have_one_and_shade_only_where_they_are_tall(self, by_key):
        assert [key for key in sorted(by_key) if by_key[key].land.kernel_part is not None] == ["groundnut"]
        assert [key for key in sorted(by_key) if by_key[key].land.edge_factor is not None] == ["maize", "sorghum"]

    def test_need_no_inoculant_to_stand_in_strips(self, demonstration):
        sold_for = {product.crop for product in demonstration.inoculants}

        assert not sold_for & {partner.crop for partner in demonstration.land.partners}


class TestACropFile:
    def test_may_lack_every_section_of_land(self, sources):
        head = crop_text_of("maize").partition("[sowing]")[0]

        assert read_crop(head, sources).land == CropLand()

    @pytest.mark.parametrize(
        ("old", "new", "fault"),
        [
            (
                "value = 2.5, unit",
                "value = 9, unit",
                "sowing.depth_low is 0.09, more than depth_high",
            ),
            ("value = 4, unit", "value = 9, unit", "counts.first is 9, more than final, which is 7"),
            ("value = 0.8, unit", "value = 1.8, unit", "shade.edge_factor is 1.8 1: give 0.05 to 1 1"),
            ("[young]", "[young]\nheight = 2", "height is not known here"),
        ],
    )
    def test_with_a_figure_that_cannot_be_is_refused(self, sources, old, new, fault):
        text = crop_text_of("maize")
        assert old in text

        with pytest.raises(DataFault) as raised:
            read_crop(text.replace(old, new, 1), sources)
        assert any(fault in found for found in raised.value.faults), raised.value.faults

    def test_with_a_calendar_must_say_when_the_test_is_counted(self, crop_text, sources):
        head, _, rest = crop_text.partition("[counts]")
        without = head + rest[rest.index("[calendar]") :]

        with pytest.raises(DataFault, match=r"counts is missing: add \[counts\] with first and final"):
            read_crop(without, sources)


class TestAProgrammeFile:
    def test_may_lack_every_section_of_land(self, programme):
        assert programme.land.partners == programme.land.units == programme.land.measures == ()
        assert programme.land.stand is programme.land.saved_seed is programme.land.work is None

    @pytest.mark.parametrize(
        ("old", "new", "fault"),
        [
            ('crop = "sorghum"', 'crop = "teff"', "partners[2].crop is 'teff': give one of"),
            ('crop = "sorghum"', 'crop = "maize"', "partners has maize twice"),
            ('key = "kanto"', 'key = "acre"', "field.units has acre twice"),
            (
                "leave_over = { value = 0.8",
                "leave_over = { value = 0.4",
                "stand_check.resow_under is 0.5, more",
            ),
            (
                "replace_after = { value = 3",
                "replace_after = { value = 0",
                "saved_seed.replace_after is 0 1: give",
            ),
            ("margin = { value = 30", "margin = { value = 600", "row_work.margin is 6 m: give 0 to 5 m"),
            ('key = "span"', 'key = "hand"', "body_measures has hand twice"),
        ],
    )
    def test_with_a_figure_that_cannot_be_is_refused(self, text, crops, sources, old, new, fault):
        assert old in text

        with pytest.raises(DataFault) as raised:
            read_programme(text.replace(old, new, 1), crops, sources)
        assert any(found.startswith(fault) for found in raised.value.faults), raised.value.faults

    def test_has_local_units_that_areas_are_given_in(self, demonstration):
        local = demonstration.land.unit_m2

        assert area_m2(3, "kanto", local) == 3000
        assert area_in(3000, "kanto", local) == 3
        assert area_m2(1, "acre", {"acre": 5.0}) == area_m2(1, "acre")
        with pytest.raises(CannotBe, match="use one of acre, hectare, kanto, m2"):
            area_m2(1, "rood", local)

    def test_names_the_partner_that_it_lacks(self, demonstration):
        with pytest.raises(MissingFigure, match=r"no figure partners\.teff: add a \[\[partners\]\] row"):
            demonstration.land.partner("teff")

    def test_names_the_figure_that_is_needed_and_not_there(self):
        with pytest.raises(MissingFigure, match=r"no figure stand_check: add a \[stand_check\] section"):
            needed(None, "stand_check", "a [stand_check] section to the programme file")


class TestAFieldInStrips:
    def test_takes_the_seed_of_its_rows_and_not_of_its_area(self, demonstration, main, by_key):
        plan = strip_plan(demonstration, main, by_key["maize"], 30, 40, Edges.ONE_EACH, GOOD)

        rules = demonstration.plan(main.key)
        whole = seed_masses(rules, main, rules.spacings[0], 30 * 40, GOOD).kg
        assert plan.seed_kg == pytest.approx(whole * plan.field.first_m2 / 1200, rel=1e-6)
        assert plan.field.first_m2 + plan.field.second_m2 < 1200

    def test_has_a_partner_with_its_own_seed_size_and_holes(self, demonstration, main, by_key):
        maize, sorghum = (
            strip_plan(demonstration, main, by_key[key], 30, 40, Edges.ONE_EACH, GOOD)
            for key in ("maize", "sorghum")
        )

        # 300 g at 25 cm, one a hole, against 30 g at 20 cm, three a hole.
        assert maize.partner_seed_kg / sorghum.partner_seed_kg == pytest.approx(300 / 0.25 / (30 * 3 / 0.2))

    def test_yields_less_in_the_shade_and_less_still_between_two_partners(self, demonstration, main, by_key):
        outside, inside = (
            strip_plan(demonstration, main, by_key["maize"], 40, 40, edges, GOOD).yield_part
            for edges in (Edges.ONE_EACH, Edges.SECOND)
        )

        assert inside < outside < 1

    def test_beside_a_crop_whose_shade_nobody_knows_is_refused(self, text, crops, sources, main, by_key):
        beside = read_programme(text.replace('crop = "maize"', 'crop = "cowpea"'), crops, sources)

        with pytest.raises(MissingFigure, match=r"no figure cowpea\.shade\.edge_factor: add a \[shade\] section"):
            strip_plan(beside, main, by_key["cowpea"], 30, 40, Edges.FIRST, GOOD)

    def test_at_a_spacing_that_is_not_on_offer_is_refused(self, demonstration, main, by_key):
        for spacing in (-1, 2):
            with pytest.raises(OutOfRange, match="spacing is"):
                strip_plan(demonstration, main, by_key["maize"], 30, 40, Edges.FIRST, GOOD, spacing)


class TestSeedToKeep:
    def test_is_more_than_is_sown(self, demonstration, main):
        kept = seed_for_next_season(demonstration, main, 4000)

        rules, plan = demonstration.land.saved_seed, demonstration.plan(main.key)
        assert kept.keep_kg == pytest.approx(kept.seed_kg / (1 - plan.sorting_loss) * (1 + rules.spare))
        assert kept.in_shell_kg is None

    def test_without_rules_for_it_is_refused(self, programme, crop):
        with pytest.raises(MissingFigure, match=r"no figure saved_seed: add a \[saved_seed\] section"):
            seed_for_next_season(programme, crop, 4000)


class TestWhereASeedIsLaid:
    def test_seeds_along_a_metre_give_the_target_stand(self, demonstration, main):
        placed = placement(demonstration, main, GOOD, 0.75, most_off=0.2)

        up = placed.seeds_per_metre / placed.row_m * 0.85 * main.emergence
        assert up == pytest.approx(demonstration.plan(main.key).stand_per_m2)
        assert placed.seeds_in_ten_steps == pytest.approx(7.5 * placed.seeds_per_metre)

    def test_after_a_test_in_soil_fewer_seeds_are_enough(self, demonstration, main):
        paper, bed = (
            placement(demonstration, main, SeedQuality(0.8, method, 1), 0.75, 0.2).seeds_per_metre
            for method in Method
        )

        assert bed < paper

    def test_without_body_measures_distances_stay_in_metres(self, programme, crop):
        placed = placement(programme, crop, GOOD, 0.75, most_off=0.2)

        assert placed.row is placed.hole is placed.depth is None
        assert (placed.row_m, placed.hole_m) == (0.6, 0.1)
