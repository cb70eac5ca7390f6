"""What the calculations of seed and its tests refuse, in full: name, value, allowed range, unit, what to do."""

from __future__ import annotations

from decimal import Decimal
from math import nan

import pytest

from advisor.agronomy.chance import chance_of_plants, seeds_for_chance
from advisor.agronomy.errors import AgronomyError, CannotBe, DataFault, MissingFigure, OutOfRange
from advisor.agronomy.germination import Firmness, Method, SeedTest, band, firmness, mixed_germination
from advisor.agronomy.holes import HolePlan, hole_plan_for_mass, hole_plan_for_stand, seed_mass_by_plan_kg
from advisor.agronomy.money import MOST_MONEY
from advisor.agronomy.poor_seed import poor_seed, without_other_seed
from advisor.agronomy.replicates import Replicate, replicated_test, tolerated_range
from advisor.agronomy.saved_seed import (
    SeedOffer,
    cost_of_thousand_plants,
    in_shell_kg,
    kernels_kg,
    own_or_bought,
    seed_age,
    seed_to_keep_kg,
)
from advisor.agronomy.seed import (
    emergence_after,
    grain_for_seed_kg,
    implied_stand_per_m2,
    paper_germination,
    seed_mass_by_population_kg,
    seed_mass_by_rate_kg,
    stand_per_m2,
)

POSITIVE = ("above 1e-9", "below 1e9")
PART = ("above 1e-9", 1, "1")
PLAN = HolePlan(0.6, 0.1, 2, 3, 3)
PAPER, BED = Method


def offer(price=1, germination=0.9, purity=1.0, sorting_loss=0.0):
    return SeedOffer(Decimal(price), germination, purity, sorting_loss)


def by_stand(stand=30, row_m=0.6, hole_m=0.1, germination=0.9, emergence=0.8, most=4):
    return hole_plan_for_stand(stand, row_m, hole_m, germination, emergence, most)


def by_mass(seed_kg=50, area_m2=10_000, row_m=0.6, hole_m=0.1, tsw_g=130, purity=1, most=4):
    return hole_plan_for_mass(seed_kg, area_m2, row_m, hole_m, tsw_g, purity, most)


@pytest.mark.parametrize(
    ("call", "name", "value", "low", "high", "unit"),
    [
        (lambda: SeedTest(0, 0), "sown", 0, 1, "below 1e9", "seeds"),
        (lambda: SeedTest(-1, 100), "grown", -1, 0, 100, "seeds"),
        (lambda: band(SeedTest(1, 2), 101, 60), "upper edge", 101, 0, 100, "percent"),
        (lambda: band(SeedTest(1, 2), -1, -1), "upper edge", -1, 0, 100, "percent"),
        (lambda: band(SeedTest(1, 2), 80, 81), "lower edge", 81, 0, 80, "percent"),
        (lambda: band(SeedTest(1, 2), 80, -1), "lower edge", -1, 0, 80, "percent"),
        (lambda: firmness(SeedTest(1, 19), 50, 20, 400), "sown", 19, 20, 400, "seeds"),
        (lambda: mixed_germination([(0, 0.5)]), "lot", 0, *POSITIVE, "kg"),
        (lambda: mixed_germination([(1, 1.1)]), "germination", 1.1, 0, 1, "1"),
        (lambda: mixed_germination([(1, -0.1)]), "germination", -0.1, 0, 1, "1"),
        (lambda: Replicate(10, 101), "sown in a replicate", 101, 1, 100, "seeds"),
        (lambda: Replicate(10, 100, -1), "first count", -1, 0, 10, "seeds"),
        (lambda: replicated_test([], PAPER), "replicates", 0, 1, 4, "1"),
        (lambda: replicated_test([Replicate(1, 2)] * 5, PAPER), "replicates", 5, 1, 4, "1"),
        (lambda: tolerated_range(SeedTest(300, 400), 1), "replicates", 1, 2, 4, "1"),
        (lambda: tolerated_range(SeedTest(300, 400), 5), "replicates", 5, 2, 4, "1"),
        (lambda: chance_of_plants(-1, 3, 0.8, 0.85), "plants", -1, 0, "below 1e9", "1"),
        (lambda: chance_of_plants(1, -1, 0.8, 0.85), "seeds for a hole", -1, 0, 100, "seeds"),
        (lambda: chance_of_plants(1, 101, 0.8, 0.85), "seeds for a hole", 101, 0, 100, "seeds"),
        (lambda: chance_of_plants(1, 3, 0, 0.85), "germination", 0, *PART),
        (lambda: chance_of_plants(1, 3, 0.8, 1.1), "emergence", 1.1, *PART),
        (lambda: seeds_for_chance(0, 0.9, 0.8, 0.85), "plants", 0, 1, 100, "1"),
        (lambda: seeds_for_chance(101, 0.9, 0.8, 0.85), "plants", 101, 1, 100, "1"),
        (lambda: seeds_for_chance(1, 0, 0.8, 0.85), "chance", 0, "above 0", "below 1", "1"),
        (lambda: seeds_for_chance(1, 1, 0.8, 0.85), "chance", 1, "above 0", "below 1", "1"),
        (lambda: seeds_for_chance(1, nan, 0.8, 0.85), "chance", nan, "above 0", "below 1", "1"),
        (
            lambda: seeds_for_chance(90, 0.99, 0.5, 0.5),
            "seeds for a hole",
            "more than 100",
            90,
            100,
            "seeds",
        ),
        (lambda: without_other_seed(SeedTest(1, 9), 101, 50), "lower edge", 101, 0, 100, "percent"),
        (lambda: without_other_seed(SeedTest(1, 9), -1, -1), "lower edge", -1, 0, 100, "percent"),
        (lambda: without_other_seed(SeedTest(1, 9), 60, 61), "not sown under", 61, 0, 60, "percent"),
        (lambda: without_other_seed(SeedTest(1, 9), 60, -1), "not sown under", -1, 0, 60, "percent"),
        (lambda: poor_seed(SeedTest(1, 9), 0, 60, 50), "seed", 0, *POSITIVE, "kg"),
        (lambda: stand_per_m2(0, 0.6, 0.1), "plants per hole", 0, *POSITIVE, "1"),
        (lambda: stand_per_m2(1, 0, 0.1), "row", 0, *POSITIVE, "m"),
        (lambda: stand_per_m2(1, 0.6, 0), "hole", 0, *POSITIVE, "m"),
        (lambda: seed_mass_by_population_kg(0, 30, 130, 0.9, 0.8), "area", 0, *POSITIVE, "m2"),
        (lambda: seed_mass_by_population_kg(1, 0, 130, 0.9, 0.8), "stand", 0, *POSITIVE, "plants/m2"),
        (lambda: seed_mass_by_population_kg(1, 30, 0, 0.9, 0.8), "thousand-seed weight", 0, *POSITIVE, "g"),
        (lambda: seed_mass_by_population_kg(1, 30, 130, 0, 0.8), "germination", 0, *PART),
        (lambda: seed_mass_by_population_kg(1, 30, 130, 0.9, 0), "emergence", 0, *PART),
        (lambda: seed_mass_by_population_kg(1, 30, 130, 0.9, 0.8, 2), "purity", 2, *PART),
        (lambda: seed_mass_by_rate_kg(0, 50, 0.6, 0.8), "area", 0, *POSITIVE, "m2"),
        (lambda: seed_mass_by_rate_kg(1, 0, 0.6, 0.8), "rate", 0, *POSITIVE, "kg/ha"),
        (lambda: seed_mass_by_rate_kg(1, 50, 0, 0.8), "germination", 0, *PART),
        (lambda: seed_mass_by_rate_kg(1, 50, 0.6, 2), "rate germination", 2, *PART),
        (lambda: implied_stand_per_m2(0, 1, 130, 0.9, 0.8), "seed", 0, *POSITIVE, "kg"),
        (lambda: implied_stand_per_m2(1, 0, 130, 0.9, 0.8), "area", 0, *POSITIVE, "m2"),
        (lambda: implied_stand_per_m2(1, 1, 0, 0.9, 0.8), "thousand-seed weight", 0, *POSITIVE, "g"),
        (lambda: implied_stand_per_m2(1, 1, 130, 0, 0.8), "germination", 0, *PART),
        (lambda: implied_stand_per_m2(1, 1, 130, 0.9, 0), "emergence", 0, *PART),
        (lambda: implied_stand_per_m2(1, 1, 130, 0.9, 0.8, 0), "purity", 0, *PART),
        (lambda: grain_for_seed_kg(0, 0.1), "seed", 0, *POSITIVE, "kg"),
        (lambda: grain_for_seed_kg(45, -0.1), "sorting loss", -0.1, 0, "below 1", "1"),
        (lambda: grain_for_seed_kg(45, 1), "sorting loss", 1, 0, "below 1", "1"),
        (lambda: emergence_after(PAPER, 0, 0.9), "emergence", 0, *PART),
        (lambda: emergence_after(PAPER, 0.8, 0.7), "bed emergence", 0.7, 0.8, 1, "1"),
        (lambda: emergence_after(BED, 0.8, 1.1), "bed emergence", 1.1, 0.8, 1, "1"),
        (lambda: paper_germination(0, BED, 0.8, 0.9), "germination", 0, *PART),
        (lambda: by_stand(stand=0), "stand", 0, *POSITIVE, "plants/m2"),
        (lambda: by_stand(row_m=0), "row", 0, *POSITIVE, "m"),
        (lambda: by_stand(hole_m=0), "hole", 0, *POSITIVE, "m"),
        (lambda: by_stand(germination=0), "germination", 0, *PART),
        (lambda: by_stand(emergence=0), "emergence", 0, *PART),
        (lambda: by_stand(most=0), "most seeds for a hole", 0, 1, 9, "seeds"),
        (lambda: by_stand(most=10), "most seeds for a hole", 10, 1, 9, "seeds"),
        (lambda: by_mass(seed_kg=0), "seed", 0, *POSITIVE, "kg"),
        (lambda: by_mass(area_m2=0), "area", 0, *POSITIVE, "m2"),
        (lambda: by_mass(row_m=0), "row", 0, *POSITIVE, "m"),
        (lambda: by_mass(hole_m=0), "hole", 0, *POSITIVE, "m"),
        (lambda: by_mass(tsw_g=0), "thousand-seed weight", 0, *POSITIVE, "g"),
        (lambda: by_mass(purity=0), "purity", 0, *PART),
        (lambda: by_mass(most=0), "most seeds for a hole", 0, 1, 9, "seeds"),
        (lambda: by_mass(most=10), "most seeds for a hole", 10, 1, 9, "seeds"),
        (lambda: by_mass(1, 1, 0.5, 0.001, 1000), "seeds for a hole", 0.5, 1 - 1e-9, "below 1e9", "seeds"),
        (lambda: seed_mass_by_plan_kg(PLAN, 0, 130, 1, 0), "area", 0, *POSITIVE, "m2"),
        (lambda: seed_mass_by_plan_kg(PLAN, 1, 0, 1, 0), "thousand-seed weight", 0, *POSITIVE, "g"),
        (lambda: seed_mass_by_plan_kg(PLAN, 1, 130, 0, 0), "purity", 0, *PART),
        (lambda: seed_mass_by_plan_kg(PLAN, 1, 130, 1, -0.1), "spill", -0.1, 0, 1, "1"),
        (lambda: seed_mass_by_plan_kg(PLAN, 1, 130, 1, 1.1), "spill", 1.1, 0, 1, "1"),
        (lambda: seed_age(-1, 3), "seasons", -1, 0, "below 1e9", "1"),
        (lambda: seed_age(0, 0), "replace after", 0, 1, "below 1e9", "1"),
        (
            lambda: cost_of_thousand_plants(offer("-0.01"), 130, 0.8),
            "price",
            Decimal("-0.01"),
            0,
            MOST_MONEY,
            "money",
        ),
        (lambda: cost_of_thousand_plants(offer(germination=0), 130, 0.8), "germination", 0, *PART),
        (lambda: cost_of_thousand_plants(offer(), 130, 0), "emergence", 0, *PART),
        (lambda: cost_of_thousand_plants(offer(purity=0), 130, 0.8), "purity", 0, *PART),
        (lambda: cost_of_thousand_plants(offer(), 0, 0.8), "thousand-seed weight", 0, *POSITIVE, "g"),
        (
            lambda: own_or_bought(offer(sorting_loss=1), offer(), 130, 0.8),
            "sorting loss",
            1,
            0,
            "below 1",
            "1",
        ),
        (lambda: own_or_bought(offer(), offer(purity=2), 130, 0.8), "purity", 2, *PART),
        (lambda: seed_to_keep_kg(45, 0.1, -0.1), "spare", -0.1, 0, 2, "1"),
        (lambda: seed_to_keep_kg(45, 0.1, 2.1), "spare", 2.1, 0, 2, "1"),
        (lambda: in_shell_kg(0, 0.6), "kernels", 0, *POSITIVE, "kg"),
        (lambda: in_shell_kg(23, 0), "kernel part", 0, *PART),
        (lambda: kernels_kg(0, 0.6), "crop in the shell", 0, *POSITIVE, "kg"),
        (lambda: kernels_kg(23, 2), "kernel part", 2, *PART),
    ],
)
def test_a_value_outside_its_range_is_refused_with_the_range(call, name, value, low, high, unit):
    with pytest.raises(OutOfRange) as refused:
        call()

    error = refused.value
    assert (error.name, error.low, error.high, error.unit) == (name, low, high, unit)
    assert error.value == value or (value is nan and error.value is nan)


@pytest.mark.parametrize("price", ["NaN", "Infinity", "-Infinity"])
def test_a_price_is_a_finite_amount(price):
    with pytest.raises(OutOfRange, match=f"price is {price}, allowed is 0 to 1000000000000"):
        cost_of_thousand_plants(offer(price), 130, 0.8)


@pytest.mark.parametrize(
    ("call", "name", "said"),
    [
        (
            lambda: SeedTest(101, 100),
            "more_grown_than_sown",
            "101 seedlings cannot come from 100 seeds: "
            "count the seedlings again, then the seeds that were put out",
        ),
        (
            lambda: mixed_germination([]),
            "no_lot",
            "a mix of no lots has no germination: give at least one lot",
        ),
        (
            lambda: Replicate(60, 100, early=61),
            "fewer_at_the_final_count",
            "60 seedlings at the final count cannot be fewer than 61 at the first: "
            "add what was taken off at the first count to the final count",
        ),
        (
            lambda: replicated_test([Replicate(80, 100), Replicate(40, 50)], PAPER),
            "unlike_replicates",
            "replicates of 50 and 100 seeds cannot be compared: put out as many seeds in each set",
        ),
        (
            lambda: tolerated_range(SeedTest(300, 401), 4),
            "unlike_replicates",
            "401 seeds are not 4 sets of one size: put out as many seeds in each set",
        ),
        (
            lambda: replicated_test([Replicate(88, 100, early=61), Replicate(90, 100)], PAPER),
            "first_count_missing",
            "the first count is there for 1 of 2 sets: give the first count of every set, or of none",
        ),
        (
            lambda: without_other_seed(SeedTest(60, 100), 60, 50),
            "seed_is_not_poor",
            "60 of 100 seeds are not under 60 percent: sow more of it, as for any seed in the middle band",
        ),
    ],
)
def test_what_cannot_be_is_said_with_what_to_do(call, name, said):
    with pytest.raises(CannotBe) as refused:
        call()

    assert (refused.value.name, str(refused.value)) == (name, said)


def test_a_rate_whose_germination_nobody_knows_is_not_adjusted():
    with pytest.raises(MissingFigure) as refused:
        seed_mass_by_rate_kg(10_000, 50, 0.6, None)

    said = "no figure rate_germination: give the germination that the handbook rate assumes"
    assert (refused.value.name, str(refused.value)) == ("rate_germination", said)


def test_the_edges_themselves_are_allowed():
    assert SeedTest(0, 1).germination == 0
    assert SeedTest(1, 1).germination == 1
    assert firmness(SeedTest(1, 20), 20, 20, 20) is Firmness.FIRM
    assert str(band(SeedTest(1, 2), 100, 0)) == str(band(SeedTest(1, 2), 100, 50)) == "middle"
    assert str(band(SeedTest(1, 2), 0, 0)) == "good"
    assert mixed_germination([(1, 0), (1, 1)]) == 0.5
    assert Replicate(100, 100, early=100).early == 100
    assert Replicate(0, 1, early=0).early == 0
    assert chance_of_plants(0, 0, 1, 1) == chance_of_plants(100, 100, 1, 1) == 1
    assert chance_of_plants(1, 0, 1, 1) == 0
    assert seeds_for_chance(100, 0.9, 1, 1) == 100
    assert str(without_other_seed(SeedTest(99, 100), 100, 100)) == "do_not_sow"
    assert str(without_other_seed(SeedTest(0, 100), 1, 0)) == "twice_or_retest"
    assert emergence_after(BED, 0.8, 0.8) == 0.8
    assert emergence_after(BED, 1, 1) == 1
    assert grain_for_seed_kg(45, 0) == 45
    assert by_stand(most=9) == by_stand(most=3) == HolePlan(0.6, 0.1, 2, 2, 3)
    assert by_stand(most=1).capped
    assert by_mass(most=1).capped
    assert seed_mass_by_plan_kg(PLAN, 1, 130, 1, 1) == 2 * seed_mass_by_plan_kg(PLAN, 1, 130, 1, 0)
    assert seed_age(0, 1).left == 1
    assert cost_of_thousand_plants(offer(0), 130, 0.8) == 0
    assert (seed_to_keep_kg(45, 0, 0), seed_to_keep_kg(45, 0, 2)) == (45, 135)
    assert in_shell_kg(23, 1) == kernels_kg(23, 1) == 23


@pytest.mark.parametrize(
    ("error", "reason", "said", "held"),
    [
        (AgronomyError("no"), "refused", "no", {}),
        (
            OutOfRange("area", 0, 100, 5000, "m2"),
            "out_of_range",
            "area is 0, allowed is 100 to 5000 (unit m2): give a value in that range",
            {"name": "area", "value": 0, "low": 100, "high": 5000, "unit": "m2"},
        ),
        (
            CannotBe("no_lot", "there is no lot", "give one"),
            "cannot_be",
            "there is no lot: give one",
            {"name": "no_lot", "what": "there is no lot", "instead": "give one"},
        ),
        (
            MissingFigure("rate", "add it"),
            "missing_figure",
            "no figure rate: add it",
            {"name": "rate", "instead": "add it"},
        ),
        (
            DataFault("crop", ("key is missing: give it",)),
            "data_fault",
            "crop has 1 fault\n  key is missing: give it",
            {"file": "crop", "faults": ("key is missing: give it",)},
        ),
        (DataFault("crop", ("a", "b")), "data_fault", "crop has 2 faults\n  a\n  b", {"faults": ("a", "b")}),
        (DataFault("crop", ()), "data_fault", "crop has 0 faults", {"faults": ()}),
    ],
)
def test_a_refusal_holds_its_parts_and_says_them_in_one_text(error, reason, said, held):
    assert (error.reason, str(error)) == (reason, said)
    assert {key: getattr(error, key) for key in held} == held
