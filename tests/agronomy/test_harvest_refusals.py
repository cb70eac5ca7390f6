"""What the harvest's calculations and figures refuse, in full: name, value, allowed range, unit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.agronomy.drying import (
    mass_at_moisture_kg,
    seed_life_factor,
    shrink,
    sold_dry_loss,
    storage_time,
)
from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.harvest_figures import HarvestFigures, NoduleScheme, YieldFigures
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
ANY = "below 1e9"


@pytest.mark.parametrize(
    ("call", "name", "value", "low", "high", "unit"),
    [
        (lambda _: NoduleCount(0, 0), "plants", 0, 1, 1000, "plants"),
        (lambda _: NoduleCount(1, -1), "nodules", -1, 0, "below 1e9", "nodules"),
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
        (lambda _: standing_kg_per_ha(1, 1, 1, 0), "thousand-seed weight", 0, "above 1e-9", ANY, "g"),
        (lambda _: yield_before_harvest(YIELD, -1, 1, 130), "stand", -1, 0, 100, "plants/m2"),
        (lambda _: yield_before_harvest(YIELD, 1, -1, 130), "pods per plant", -1, 0, 400, "pods/plant"),
        (lambda _: yield_before_harvest(YIELD, 1, 1, 130, -1), "seeds per pod", -1, 0, 4, "seeds/pod"),
        (lambda _: harvest_loss_kg_per_ha(-1, 130), "seeds on the ground", -1, 0, 100_000, "seeds/m2"),
        (lambda _: harvest_loss_kg_per_ha(1, 0), "thousand-seed weight", 0, "above 1e-9", ANY, "g"),
        (lambda _: lost_part(-1, 1), "loss", -1, 0, 1e9, "kg/ha"),
        (lambda _: lost_part(1, 0), "grain brought home", 0, "above 1e-9", ANY, "kg/ha"),
        (lambda _: bags_of_grain(-1, 50), "grain", -1, 0, "below 1e9", "kg"),
        (lambda _: bags_of_grain(1, 0), "bag", 0, 0.001, 1e6, "kg"),
        (lambda _: mass_at_moisture_kg(0, 1, 1), "grain", 0, "above 1e-9", ANY, "kg"),
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


def test_a_crop_without_a_table_of_storage_is_told_where_it_belongs(crop):
    with pytest.raises(MissingFigure) as missing:
        storage_time(12, 10, replace(crop.harvest.grain, storage=()))

    assert str(missing.value) == (
        "no figure harvest.grain.storage: add days by moisture and temperature to the crop file"
    )


@pytest.mark.parametrize(
    ("schemes", "key", "said"),
    [
        ((), "", "no figure harvest.nodules: add the scheme to the crop file; known: none yet"),
        ((SCHEME,), "y", "no figure harvest.nodules y: add the scheme to the crop file; known: x"),
    ],
)
def test_a_scheme_of_nodules_that_is_not_there_is_told_with_those_that_are(schemes, key, said):
    with pytest.raises(MissingFigure) as missing:
        HarvestFigures(schemes, None, None, None).scheme(key)

    assert str(missing.value) == said
