"""Two guides that differ are two zones: the same programme answers by the one here and by the other there."""

from __future__ import annotations

import re
from datetime import date
from itertools import combinations

import pytest

from advisor.agronomy.fertiliser_need import fertiliser_need
from advisor.agronomy.nitrogen_left import nitrogen_credit
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.rain import Rain, onset
from advisor.agronomy.season_days import zone_season
from advisor.agronomy.sources import Source
from advisor.agronomy.units import HECTARE_M2
from tests.agronomy.conftest import HOME

KENYA = Source(
    "kenya-highlands", "Trial rate, Kenya highlands: 30 kg P/ha", "http://journals.jkuat.ac.ke/index.php/jscp/article/view/856/0"
)  # fmt: skip
MALAWI = Source(
    "malawi-optimum",
    "Munthali and others, Agricultural Sciences 8 (2017) 801: 7.5 kg P/ha pays best",
    "http://www.scirp.org/Journal/PaperInformation.aspx?paperID=78563",
)
MANUAL, SAHEL = "zimbabwe-manual", "two-days-1981"


def with_need(text, zone, kg_p, source):
    """The programme with another published need of phosphorus in a zone."""
    figure = f'p2o5 = {{ value = {kg_p}, unit = "kg P/ha", source = "{source.key}", mark = "published" }}'
    return re.sub(
        rf'(\[\[fertilising\.needs\]\]\ncrop = "soybean"\nzone = "{zone}"\n)p2o5 = .*', rf"\g<1>{figure}", text
    )


@pytest.fixture(scope="module")
def two_guides(crops, sources):
    text = (HOME / "programmes/ulami.toml").read_text("utf-8")
    text = with_need(with_need(text, "valley", 30, KENYA), "hills", 7.5, MALAWI)
    before, after = text.split('zone = "hills"\ncrop = "soybean"\nopens', 1)
    seasons = [before, after.replace("southern-africa", SAHEL, 1)]
    text = 'zone = "hills"\ncrop = "soybean"\nopens'.join(
        (seasons[0].replace("southern-africa", MANUAL, 1), seasons[1])
    )
    return read_programme(text, crops, (*sources, KENYA, MALAWI))


@pytest.mark.parametrize(
    ("zone", "kg_p", "kg_p2o5"),
    [("valley", 30, 68.7), ("hills", 7.5, 17.2)],
    ids=["Kenya highlands, trial rate", "Malawi, economic optimum"],
)
def test_the_need_of_phosphorus_is_the_published_one_of_the_zone(two_guides, zone, kg_p, kg_p2o5):
    need = fertiliser_need(two_guides.fertilising.need("soybean", zone)).p2o5

    assert need.kg_per_ha == pytest.approx(kg_p2o5, abs=0.05)
    assert need.kg_per_ha == pytest.approx(kg_p * 141.94 / (2 * 30.974), rel=1e-4)


#: From 1 April: 20 mm in three days on the 3rd, nine dry days within the next twenty; 20 mm in two on the 20th.
DAYS = (8.0, 6.0, 6.0, *[0.0] * 9, *[2.0] * 6, 10.0, 10.0, *[2.0] * 40)


@pytest.mark.parametrize(
    ("zone", "rule", "begun"),
    [("valley", MANUAL, date(2026, 4, 3)), ("hills", SAHEL, date(2026, 4, 20))],
    ids=["Zimbabwe manual: 20 mm in three days", "Reading, after Stern: 20 mm in two days"],
)
def test_the_same_rain_begins_on_the_day_of_the_zones_own_rule(two_guides, onset_rules, zone, rule, begun):
    season = zone_season(two_guides.seasons, "soybean", zone)

    assert season.onset_rule == rule
    assert onset(Rain(date(2026, 4, 1), DAYS), onset_rules.rule(rule), date(2026, 4, 1)).day == begun


def test_every_two_onset_rules_differ_on_some_rain(onset_rules):
    begin = date(2026, 5, 1)
    rains = [
        (20.0, *[1.0] * 60), (20.0, *[0.0] * 8, *[1.0] * 60), (10.0, 10.0, *[0.0] * 9, *[1.0] * 60),
        (*[2.5] * 10, *[2.0] * 10, *[0.0] * 40), (7.0, 7.0, 7.0, *[1.0] * 60),
        (*[2.5] * 10, *[2.0] * 20, *[1.0] * 40), (20.0, *[1.0] * 20, *[0.0] * 12, *[1.0] * 30),
        (0.0, *[2.5] * 10, *[2.0] * 20, *[1.0] * 40),
    ]  # fmt: skip
    begun = {
        rule.key: tuple(onset(Rain(begin, rain), rule, begin).day for rain in rains) for rule in onset_rules.rules
    }

    assert [pair for pair in combinations(begun, 2) if begun[pair[0]] == begun[pair[1]]] == []


def test_nitrogen_left_is_what_was_measured_for_the_zone(two_guides, crop):
    zones = {zone.key: zone.nitrogen_left or crop.harvest.nitrogen_left for zone in two_guides.zones}
    most = {key: nitrogen_credit(figures, 1, HECTARE_M2).high.kg_per_ha for key, figures in zones.items()}

    # Ontario recommends 30 kg/ha; Nigeria measured 55 with residues incorporated.
    assert most == {"valley": 30, "hills": 55}
