"""The programme file: what the demonstration sets, and what no programme may say."""

from __future__ import annotations

from datetime import time
from decimal import Decimal

import pytest

from advisor.agronomy.buylist import Lot, Origin, buy_list
from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import DataFault, MissingFigure
from advisor.agronomy.labels import Currency
from advisor.agronomy.programme import BuyingRule
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.units import ACRE_M2


def test_the_demonstration_is_the_invented_district(programme):
    assert programme.name.default == "Ulami"
    assert (programme.country_code, programme.currency) == ("999", Currency("Ul", 0))
    assert programme.languages == ("en", "sw", "hi")
    assert [village.label.default for village in programme.villages] == [
        "Dovi",
        "Kesu",
        "Lawi",
        "Mbek",
        "Nuvu",
        "Zolu",
    ]
    assert (programme.quiet_from, programme.quiet_to) == (time(20), time(6, 30))
    assert programme.purse_max == Decimal(500_000)


def test_a_programme_may_have_no_holidays(programme):
    assert programme.holidays == frozenset()


def test_figures_are_kept_in_si_and_remembered_as_they_were_given(programme, crop):
    plan = programme.plan(crop.key)
    figures = dict(programme.figures)

    assert plan.rate_kg_per_ha == pytest.approx(49.42108, abs=1e-5)
    assert (figures["crops[1].rate"].value, figures["crops[1].rate"].unit) == (20, "kg/acre")
    assert programme.plot_low_m2 == pytest.approx(0.05 * ACRE_M2)
    assert programme.plot_high_m2 == pytest.approx(50 * ACRE_M2)
    assert plan.buying_rule is BuyingRule.RATE


def test_every_figure_of_the_demonstration_has_source_and_mark(programme):
    assert len(programme.figures) > 20
    assert all(figure.source and figure.mark for _, figure in programme.figures)


def test_every_name_has_at_most_16_characters_in_every_language(programme):
    named = (*programme.villages, *programme.zones, *programme.seeds, *programme.inoculants, *programme.crops)
    names = [each.label.in_language(language) for each in named for language in programme.languages]

    assert max(len(name) for name in names) <= 16
    assert all(name.isascii() for name in (each.label.in_language("sw") for each in named))
    assert all("\u0900" <= each.label.in_language("hi")[0] <= "\u097f" for each in named)


def test_a_crop_that_the_programme_does_not_grow_is_refused(programme):
    for find in (programme.plan, programme.crop_label, programme.seed, programme.inoculant):
        with pytest.raises(MissingFigure, match="to the programme file"):
            find("teff")


def test_a_village_is_found_by_its_key_or_not_at_all(programme):
    assert programme.village("v4").label.default == "Mbek"
    assert programme.village("v9") is None


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('key = "v2"', 'key = "v1"', "villages has v1 twice"),
        ('zone = "valley"', 'zone = "coast"', "villages has no zone 'coast': use or add one of: hills, valley"),
        (
            'default = "Dovi"',
            'default = "Dovi-by-the-long-river"',
            "villages[1].label.default is 'Dovi-by-the-long",
        ),
        ('default = "Dovi", hi', 'default = "Dovi", fr', "villages[1].label.fr is no language of the programme"),
        (
            'price = "350"',
            "price = 350.5",
            "inoculants[1].packs[1].price is 350.5: give an amount above 0 in quotes",
        ),
        ('price = "350"', 'price = "350.5"', "inoculants[1].packs[1].price is '350.5': give an amount above 0"),
        ('price = "350"', 'price = "0"', "inoculants[1].packs[1].price is '0'"),
        ('price = "350"', 'price = "-1"', "inoculants[1].packs[1].price is '-1'"),
        ('price = "350"', 'price = "much"', "inoculants[1].packs[1].price is 'much'"),
        ('price = "350"', "price = true", "inoculants[1].packs[1].price is True"),
        ("size_g = 5000", "size_g = 2000", "seeds[1].packs has 2000 g twice"),
        ("size_g = 5000", "size_g = 0", "seeds[1].packs[2].size_g is 0: give a whole number from 1"),
        (
            'buying_rule = "rate"',
            'buying_rule = "guess"',
            "crops[1].buying_rule is 'guess': give one of rate, population",
        ),
        (
            'area_unit = "acre"',
            'area_unit = "furlong"',
            "field.area_unit is 'furlong': give one of m2, acre, hectare",
        ),
        ('languages = ["en", "sw", "hi"]', "languages = []", "languages is []: give at least one text"),
        (
            "quiet_from = 20:00:00",
            'quiet_from = "20:00"',
            "quiet_from is '20:00': give a time of day such as 20:00:00",
        ),
        (
            "retention_days = 730",
            "retention_days = 730\nholidays = [2027-01-01T00:00:00]",
            "holidays is [datetime.datetime(2027, 1, 1, 0, 0)]: give at most 120 days such as 2027-01-01",
        ),
        (
            "retention_days = 730",
            "retention_days = 730\nholidays = [2027-01-01, 2027-01-01]",
            "holidays has 2027-01-01 twice: give each a name of its own",
        ),
        ("retention_days = 730", "retention_days = 0", "retention_days is 0: give a whole number from 1"),
        (
            "value = 50, unit",
            "value = 0.02, unit",
            "field.plot_low is 202.343, more than plot_high, which is 80.9371",
        ),
        (
            "step_high = { value = 1.2",
            "step_high = { value = 0.6",
            "field.step is 0.75, more than step_high, which is 0.6",
        ),
        (
            'row = { value = 60, unit = "cm"',
            'row = { value = 200, unit = "cm"',
            "crops.soybean.spacings 2 m by 0.1 m takes",
        ),
        ("hole = { value = 5, unit", "hole = { value = 2, unit", "crops.soybean.spacings 0.6 m by 0.02 m takes"),
        (
            '[[seeds]]\nkey = "s1"\ncrop = "soybean"',
            '[[seeds]]\nkey = "s1"\ncrop = "teff"',
            "crops has no product in [[seeds]] for",
        ),
        ('trunk_prefix = "0"', 'trunk_prefix = "0"\ntelex = "1"', "telex is not known here: take it out"),
    ],
)
def test_what_cannot_be_is_refused_with_place_and_next_step(programme_text, crop, sources, old, new, fault):
    assert old in programme_text

    with pytest.raises(DataFault) as raised:
        read_programme(programme_text.replace(old, new, 1), (crop,), sources)

    assert any(found.startswith(fault) for found in raised.value.faults), raised.value.faults


def test_an_empty_programme_gets_every_missing_key_at_once(crop, sources):
    with pytest.raises(DataFault) as raised:
        read_programme("", (crop,), sources)

    missing = {fault.split(" ")[0] for fault in raised.value.faults if "is missing" in fault}
    assert {"key", "languages", "field", "field.rope", "currency.symbol", "villages", "crops", "seeds"} <= missing


def test_a_new_crop_comes_by_data_alone(programme_text, crop_text, sources):
    cowpea = read_crop(crop_text.replace("soybean", "cowpea").replace("value = 130", "value = 120"), sources)
    programme = read_programme(programme_text.replace("soybean", "cowpea"), (cowpea,), sources)

    bought = buy_list(programme, cowpea, 2.5 * ACRE_M2, Lot(Origin.BOUGHT))

    assert (bought.seed_kg, bought.inoculant_g) == (50, 250)


def test_a_crop_without_a_data_file_cannot_be_grown(programme_text, sources):
    with pytest.raises(DataFault, match=r"crops\[1\]\.crop is 'soybean': give one of"):
        read_programme(programme_text, (), sources)
