"""The programme file: what the demonstration sets, and what no programme may say."""

from __future__ import annotations

from datetime import time
from decimal import Decimal

import pytest

from advisor.agronomy.buylist import Lot, Origin, buy_list
from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import DataFault
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


def test_a_village_is_found_by_its_key_or_not_at_all(programme):
    assert programme.village("v4").label.default == "Mbek"
    assert programme.village("v9") is None


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


def test_gaps_may_be_filled_until_the_crop_is_up_in_the_coolest_zone(demonstration_text, crops, sources):
    # Up until day 10, in the hills a quarter later: day 13.
    fill = 'fill_days = { value = 14, unit = "day"'

    for days in (13, 14):
        read_programme(demonstration_text.replace(fill, fill.replace("14", str(days))), crops, sources)
    with pytest.raises(
        DataFault,
        match=r"stand_check.fill_days is 12, and soybean in hills comes up until day 13: give so many days",
    ):
        read_programme(demonstration_text.replace(fill, fill.replace("14", "12")), crops, sources)
