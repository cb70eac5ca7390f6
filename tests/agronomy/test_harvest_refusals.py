"""What the harvest's calculations and figures refuse, in full: name, value, allowed range, unit."""

from __future__ import annotations

import re

import pytest

from advisor.agronomy.crop import read_crop
from advisor.agronomy.drying import (
    mass_at_moisture_kg,
    seed_life_factor,
    shrink,
    sold_dry_loss,
    storage_time,
)
from advisor.agronomy.errors import DataFault, OutOfRange
from advisor.agronomy.harvest_figures import NoduleScheme, YieldFigures
from advisor.agronomy.nitrogen_left import nitrogen_credit
from advisor.agronomy.nodules import NoduleCount, nodule_score
from advisor.agronomy.nutrients import N
from advisor.agronomy.ripening import (
    bags_of_grain,
    harvest_loss_kg_per_ha,
    lost_part,
    standing_kg_per_ha,
    yield_before_harvest,
)

YIELD = YieldFigures(2.5, 4, 400, 100, 0.10, 0.12, 4000)
SCHEME = NoduleScheme("x", 10, 1, 5, 500, N(56), N(60))
ANY = "any finite number"


@pytest.mark.parametrize(
    ("call", "name", "value", "low", "high", "unit"),
    [
        (lambda _: NoduleCount(0, 0), "plants", 0, 1, 1000, "plants"),
        (lambda _: NoduleCount(1, -1), "nodules", -1, 0, "any whole number", "nodules"),
        (
            lambda _: nodule_score(NoduleCount(1, 501, red=1), SCHEME),
            "nodules on a plant",
            501,
            0,
            500,
            "nodules/plant",
        ),
        (lambda _: standing_kg_per_ha(-1, 1, 1, 130), "stand", -1, 0, 100_000, "plants/m2"),
        (lambda _: standing_kg_per_ha(1, -1, 1, 130), "pods per plant", -1, 0, 100_000, "pods/plant"),
        (lambda _: standing_kg_per_ha(1, 1, -1, 130), "seeds per pod", -1, 0, 100_000, "seeds/pod"),
        (lambda _: standing_kg_per_ha(1, 1, 1, 0), "thousand-seed weight", 0, "above 0", ANY, "g"),
        (lambda _: yield_before_harvest(YIELD, -1, 1, 130), "stand", -1, 0, 100, "plants/m2"),
        (lambda _: yield_before_harvest(YIELD, 1, -1, 130), "pods per plant", -1, 0, 400, "pods/plant"),
        (lambda _: yield_before_harvest(YIELD, 1, 1, 130, -1), "seeds per pod", -1, 0, 4, "seeds/pod"),
        (lambda _: harvest_loss_kg_per_ha(-1, 130), "seeds on the ground", -1, 0, 100_000, "seeds/m2"),
        (lambda _: harvest_loss_kg_per_ha(1, 0), "thousand-seed weight", 0, "above 0", ANY, "g"),
        (lambda _: lost_part(-1, 1), "loss", -1, 0, 1e9, "kg/ha"),
        (lambda _: lost_part(1, 0), "grain brought home", 0, "above 0", ANY, "kg/ha"),
        (lambda _: bags_of_grain(-1, 50), "grain", -1, 0, "below 1e9", "kg"),
        (lambda _: bags_of_grain(1, 0), "bag", 0, 0.001, 1e6, "kg"),
        (lambda _: mass_at_moisture_kg(0, 1, 1), "grain", 0, "above 0", ANY, "kg"),
        (lambda _: mass_at_moisture_kg(1, 100, 1), "moisture", 100, 0, "below 100", "percent"),
        (lambda _: shrink(10, 11), "moisture after", 11, 0, 10, "percent"),
        (lambda _: shrink(10, -1), "moisture after", -1, 0, 10, "percent"),
        (lambda _: shrink(10, 9, 2), "handling loss", 2, 0, 1, "1"),
        (lambda _: sold_dry_loss(14, 13), "moisture", 14, 0, 13, "percent"),
        (lambda grain: storage_time(25, 10, grain), "moisture", 25, 0, 24, "percent"),
        (lambda grain: storage_time(14, -21, grain), "temperature", -21, -20, 21.1, "celsius"),
        (lambda grain: storage_time(14, 22, grain), "temperature", 22, -20, 21.1, "celsius"),
        (lambda grain: seed_life_factor(21, 0, grain), "points drier", 21, -20, 20, "percent"),
        (lambda grain: seed_life_factor(-21, 0, grain), "points drier", -21, -20, 20, "percent"),
        (lambda grain: seed_life_factor(0, 51, grain), "degrees cooler", 51, -50, 50, "celsius"),
        (lambda grain: seed_life_factor(0, -51, grain), "degrees cooler", -51, -50, 50, "celsius"),
    ],
)
def test_a_value_outside_its_range_is_refused_with_the_range(crop, call, name, value, low, high, unit):
    with pytest.raises(OutOfRange) as refused:
        call(crop.harvest.grain)

    error = refused.value
    assert (error.name, error.value, error.low, error.high, error.unit) == (name, value, low, high, unit)


@pytest.mark.parametrize(("left", "name", "high"), [(-0.1, "straw left", 1), (1.1, "straw left", 1)])
def test_straw_is_a_part(crop, left, name, high):
    with pytest.raises(OutOfRange) as refused:
        nitrogen_credit(crop.harvest.nitrogen_left, left, 1)
    assert (refused.value.name, refused.value.low, refused.value.high, refused.value.unit) == (name, 0, high, "1")


def test_a_field_has_an_area(crop):
    with pytest.raises(OutOfRange) as refused:
        nitrogen_credit(crop.harvest.nitrogen_left, 1, 0)
    assert (refused.value.name, refused.value.unit) == ("area", "m2")


def test_the_edges_themselves_are_allowed(crop):
    grain = crop.harvest.grain

    assert seed_life_factor(20, 50, grain) == 1 / seed_life_factor(-20, -50, grain)
    assert storage_time(0, -20, grain).days == 336
    assert lost_part(1e9, 1) < 1
    assert harvest_loss_kg_per_ha(100_000, 1) == pytest.approx(1000)


FIGURES = [
    ("nodules", "enough", 1, 200, "nodules/plant"),
    ("nodules", "none_under", 0, 200, "nodules/plant"),
    ("nodules", "least_plants", 1, 100, "plants"),
    ("nodules", "most_nodules", 10, 5000, "nodules/plant"),
    ("nodules", "rescue_low", 0, 200, "kg N/ha"),
    ("nodules", "rescue_high", 0, 200, "kg N/ha"),
    ("yield", "seeds_per_pod", 0.1, 50, "seeds/pod"),
    ("yield", "seeds_per_pod_most", 0.1, 50, "seeds/pod"),
    ("yield", "pods_per_plant_most", 1, 5000, "pods/plant"),
    ("yield", "stand_most", 0.1, 1000, "plants/m2"),
    ("yield", "loss_low", 0, 0.9, "1"),
    ("yield", "loss_high", 0, 0.9, "1"),
    ("yield", "plausible", 1, 50_000, "kg/ha"),
    ("grain", "trade", 1, 40, "percent"),
    ("grain", "grain", 1, 40, "percent"),
    ("grain", "seed", 1, 40, "percent"),
    ("grain", "jar_low", 1, 40, "percent"),
    ("grain", "jar_high", 1, 40, "percent"),
    ("grain", "halved_by_moisture", 0.1, 20, "percent"),
    ("grain", "halved_by_warmth", 0.1, 50, "celsius"),
    ("grain.storage", "moisture", 1, 40, "percent"),
    ("grain.storage", "temperature", -20, 60, "celsius"),
    ("grain.storage", "keeps", 1, 9999, "day"),
    ("nitrogen_left", "returned_low", 0, 200, "kg N/ha"),
    ("nitrogen_left", "returned_high", 0, 200, "kg N/ha"),
    ("nitrogen_left", "removed_low", 0, 200, "kg N/ha"),
    ("nitrogen_left", "removed_high", 0, 200, "kg N/ha"),
]


def with_value(text, section, key, value):
    """The crop file with another value of one figure, in the first table of that name."""
    start = re.search(rf"^\[+harvest\.{re.escape(section)}\]+$", text, re.MULTILINE).end()
    figure = re.compile(rf"^{key} = {{ value = [-\d.]+", re.MULTILINE).search(text, start)
    return f"{text[: figure.start()]}{key} = {{ value = {value}{text[figure.end() :]}"


def faults_with(text, sources):
    """What is wrong with a crop file, nothing where it is sound."""
    try:
        read_crop(text, sources)
    except DataFault as fault:
        return fault.faults
    return ()


@pytest.mark.parametrize(("section", "key", "low", "high", "unit"), FIGURES)
def test_a_figure_outside_its_range_is_refused_with_the_range(crop_text, sources, section, key, low, high, unit):
    for value in (low - 0.001, high + 0.001):
        with pytest.raises(DataFault) as refused:
            read_crop(with_value(crop_text, section, key, value), sources)
        assert any(f": give {low:g} to {high:g} {unit}" in fault for fault in refused.value.faults)


@pytest.mark.parametrize(("section", "key", "low", "high", "unit"), FIGURES)
def test_a_figure_at_the_edge_of_its_range_is_refused_for_nothing_but_its_order(
    crop_text, sources, section, key, low, high, unit
):
    for value in (low, high):
        faults = faults_with(with_value(crop_text, section, key, value), sources)
        assert [said for said in faults if "give them in rising order" not in said] == []


@pytest.mark.parametrize(
    ("section", "key", "value", "fault"),
    [
        ("nodules", "none_under", 11, "harvest.nodules[1].none_under is 11, more than enough, which is 10"),
        ("nodules", "rescue_low", 57, "harvest.nodules[1].rescue_low is 57, more than rescue_high, which is 56"),
        (
            "yield",
            "seeds_per_pod",
            5,
            "harvest.yield.seeds_per_pod is 5, more than seeds_per_pod_most",
        ),
        ("yield", "loss_low", 0.2, "harvest.yield.loss_low is 0.2, more than loss_high, which is 0.12"),
        ("grain", "seed", 12.5, "harvest.grain.seed is 12.5, more than grain, which is 12"),
        ("grain", "jar_low", 16, "harvest.grain.jar_low is 16, more than jar_high, which is 15"),
        ("nitrogen_left", "returned_low", 31, "harvest.nitrogen_left.returned_low is 31, more than returned_high"),
        ("nitrogen_left", "removed_low", 6, "harvest.nitrogen_left.removed_low is 6, more than removed_high"),
        ("nitrogen_left", "returned_low", -0.5, "harvest.nitrogen_left.returned_low is -0.5 kg N/ha"),
        ("grain.storage", "keeps", 3.5, "harvest.grain.storage[1].keeps is 3.5: give a whole number"),
    ],
)
def test_figures_that_contradict_each_other_are_refused(crop_text, sources, section, key, value, fault):
    with pytest.raises(DataFault) as refused:
        read_crop(with_value(crop_text, section, key, value), sources)
    assert any(said.startswith(fault) for said in refused.value.faults), refused.value.faults


def test_two_schemes_of_one_name_are_refused(crop_text, sources):
    with pytest.raises(DataFault, match=r"harvest\.nodules has ten twice"):
        read_crop(crop_text.replace('key = "seven"', 'key = "ten"'), sources)
