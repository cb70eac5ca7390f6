"""Numbers that others printed on nodules, yield, moisture, storage and nitrogen left."""

from __future__ import annotations

from importlib.resources import files

from advisor.agronomy.crop import read_crop
from advisor.agronomy.drying import mass_at_moisture_kg, seed_life_factor, shrink, sold_dry_loss, storage_time
from advisor.agronomy.nitrogen_left import nitrogen_credit
from advisor.agronomy.nodules import Nodulation, NoduleCount, nodule_score
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.ripening import harvest_loss_kg_per_ha, standing_kg_per_ha, yield_before_harvest
from advisor.agronomy.sources import read_sources
from advisor.agronomy.units import ACRE_M2, FOOT_M, HECTARE_M2, POUND_KG
from tests.agronomy.published import Check

_DATA, _PROGRAMMES = files("advisor.agronomy") / "data", files("advisor") / "programmes"
_SOURCES = read_sources((_DATA / "sources.toml").read_text("utf-8"))
_CROP = read_crop((_DATA / "crops" / "soybean.toml").read_text("utf-8"), _SOURCES)
_CROPS = [read_crop(file.read_text("utf-8"), _SOURCES) for file in (_DATA / "crops").iterdir()]
_ULAMI = read_programme((_PROGRAMMES / "ulami.toml").read_text("utf-8"), _CROPS, _SOURCES)
_HARVEST = _CROP.harvest

#: A bushel of soybean is 60 lb, of maize 56 (University of Nebraska-Lincoln, CropWatch, 2009; trade definition).
BUSHEL_KG = 60 * POUND_KG

MANITOBA_NODULES = "Manitoba Pulse and Soybean Growers, Assessing soybean nodulation, 2019"
MICHIGAN_NODULES = "Michigan State University, In-season summer research publication, 2023"
NEBRASKA_2009 = "University of Nebraska-Lincoln, CropWatch, Harvest soybeans at 13 % moisture, 2009"
NEBRASKA_2017 = "University of Nebraska-Lincoln, CropWatch, Plan to harvest soybean at optimum moisture, 2017"
FIELD_ADVISOR = "Illinois, Field Advisor, Harvesting dry soybeans: how many bushels do we lose, row of 75 bu"
MISSOURI = "University of Missouri in Farmer Publishing, 8 September 2020, 60 bu at 9 %"
SHRINK_PAGE = "Commercial page on maize shrink, address withheld"
PURDUE = "Purdue University, Estimating soybean yields, as repeated by a commercial page"
NDSU_YIELD = "North Dakota State University, ProCrop, Estimating soybean yields, card"
ONTARIO_LOSS = "Ontario, Field Crop News, Harvest losses, quality and storage, 2025"
REAL_AGRICULTURE = "RealAgriculture, Soybean School, 2016"
MINNESOTA_STORAGE = "University of Minnesota in No-Till Farmer, Storing, drying and handling wet soybeans, table"
IRRI_LIFE = "IRRI, Rice Knowledge Bank, Moisture content for safe storage, life rule"
ONTARIO_CREDIT = "Ontario trials, Fertilizer replacement value, recommended reduction"
NIGERIA_CREDIT = "Nigerian Journal of Soil and Environmental Research, Guinea savanna, residues incorporated"
CEREAL_FORM = "Cereal form of the yield count: heads and grains as repeated, weight of the grain from memory"


def fewest_enough(scheme):
    """The fewest working nodules on each of five plants that a scheme takes as enough."""
    return lambda: next(
        float(nodules)
        for nodules in range(1, 100)
        if nodule_score(NoduleCount(5, 5 * nodules, red=5), _HARVEST.scheme(scheme)).verdict is Nodulation.WORKING
    )


def bushels_an_acre(pods, seeds_per_pod, seeds_per_pound):
    """From the pods on a ten-thousandth of an acre."""
    tsw_g = POUND_KG / seeds_per_pound * 1e6
    stand = pods / (ACRE_M2 / 10_000)
    return lambda: standing_kg_per_ha(stand, 1, seeds_per_pod, tsw_g) * ACRE_M2 / HECTARE_M2 / BUSHEL_KG


def bushels_lost(bushels, percent):
    return lambda: bushels * sold_dry_loss(percent, 13)


def days(percent, celsius):
    return lambda: float(storage_time(percent, celsius, _HARVEST.grain).days)


def lost_bushels_an_acre():
    kg_per_ha = harvest_loss_kg_per_ha(4 / FOOT_M**2, POUND_KG / 2800 * 1e6)
    return kg_per_ha * ACRE_M2 / HECTARE_M2 / BUSHEL_KG


def deducted(figure):
    """Percent taken off a yield for harvest loss."""
    return lambda: (
        100
        - getattr(yield_before_harvest(_HARVEST.yields, 30, 25, 130), figure)
        / (standing_kg_per_ha(30, 25, _HARVEST.yields.seeds_per_pod, 130) / 100)
    )


def credit(figures):
    return lambda: nitrogen_credit(figures, 1, HECTARE_M2).high.kg_per_ha


PUBLISHED_HARVEST = (
    Check("nodules that are enough", fewest_enough("ten"), 10, 1e-9, MANITOBA_NODULES, 10),
    Check("nodules that are enough", fewest_enough("seven"), 7, 1e-9, MICHIGAN_NODULES, 7),
    Check(
        "dry matter of 60 lb at 13 %", lambda: mass_at_moisture_kg(60, 13, 0), 52.2, 1e-9, NEBRASKA_2009, 52.2, 0.1
    ),
    Check(
        "water in 60 lb at 13 %",
        lambda: 60 - mass_at_moisture_kg(60, 13, 0),
        7.8,
        1e-9,
        NEBRASKA_2009,
        7.8,
        0.1,
    ),
    Check("sold at 12 %", lambda: 100 * sold_dry_loss(12, 13), 1.136, 5e-4, NEBRASKA_2017, 1.14, 0.01),
    Check("sold at 11 %", lambda: 100 * sold_dry_loss(11, 13), 2.247, 5e-4, NEBRASKA_2017, 2.25, 0.01),
    Check("sold at 10 %", lambda: 100 * sold_dry_loss(10, 13), 3.333, 5e-4, NEBRASKA_2017, 3.3, 0.1),
    Check("sold at 9 %", lambda: 100 * sold_dry_loss(9, 13), 4.396, 5e-4, NEBRASKA_2017, 4.4, 0.1),
    Check("sold at 8 %", lambda: 100 * sold_dry_loss(8, 13), 5.435, 5e-4, NEBRASKA_2017, 5.43, 0.01),
    Check("at 12 %; printed 0.86 from a rounded percentage", bushels_lost(75, 12), 0.852, 5e-4, FIELD_ADVISOR),
    Check("at 11 %", bushels_lost(75, 11), 1.685, 5e-4, FIELD_ADVISOR, 1.68, 0.01, cut=True),
    Check("at 10 %; printed 2.4, a slip", bushels_lost(75, 10), 2.5, 5e-4, FIELD_ADVISOR),
    Check("at 9 %", bushels_lost(75, 9), 3.297, 5e-4, FIELD_ADVISOR, 3.3, 0.1),
    Check("at 8 %", bushels_lost(75, 8), 4.076, 5e-4, FIELD_ADVISOR, 4.0, 0.1, cut=True),
    Check("at 9 %, over 2.5", bushels_lost(60, 9), 2.637, 5e-4, MISSOURI, 2.5, 0.5, cut=True),
    Check(
        "the card by the field guide on the same counts",
        lambda: bushels_an_acre(100, 2.5, 2500)() / bushels_an_acre(100, 2.3, 3000)(),
        1.3043,
        5e-5,
        NDSU_YIELD,
    ),
    Check(
        "4 seeds on a square foot, 2,800 a pound, bu an acre", lost_bushels_an_acre, 1.0371, 5e-5, ONTARIO_LOSS, 1
    ),
    Check("off for a careful harvest, percent", deducted("high_kg_per_ha"), 10, 1e-9, REAL_AGRICULTURE, 10),
    Check("off for a usual harvest, percent", deducted("low_kg_per_ha"), 12, 1e-9, REAL_AGRICULTURE, 12),
    Check("16 % at 50 °F, as maize at 18", days(16, 10), 128, 0, MINNESOTA_STORAGE, 128),
    Check("18 % at 50 °F, as maize at 20", days(18, 10), 63, 0, MINNESOTA_STORAGE, 63),
    Check("24 % at 50 °F, as maize at 26", days(24, 10), 18, 0, MINNESOTA_STORAGE, 18),
    Check("14 % at 70 °F, as maize at 16", days(14, 21.1), 83, 0, MINNESOTA_STORAGE, 83),
    Check(
        "a point of moisture more", lambda: seed_life_factor(-1, 0, _HARVEST.grain), 0.5, 1e-9, IRRI_LIFE, 0.5, 0.1
    ),
    Check("5 °C more", lambda: seed_life_factor(0, -5, _HARVEST.grain), 0.5, 1e-9, IRRI_LIFE, 0.5, 0.1),
    Check("figure of the crop, kg N/ha", credit(_HARVEST.nitrogen_left), 30, 1e-9, ONTARIO_CREDIT, 30),
    Check("figure of the hills, kg N/ha", credit(_ULAMI.zones[1].nitrogen_left), 55, 1e-9, NIGERIA_CREDIT, 55),
)

SECOND_HAND_HARVEST = (
    Check(
        "pods on 1/10,000 acre: 300 × 2.5 ÷ 18",
        bushels_an_acre(300, 2.5, 3000),
        41.667,
        5e-4,
        PURDUE,
        41.6,
        0.1,
        cut=True,
    ),
    Check(
        "factor for large seed, 2,500 a pound",
        lambda: 1000 / bushels_an_acre(1000, 1, 2500)(),
        15,
        1e-6,
        PURDUE,
        15,
    ),
    Check("factor for 3,000 a pound", lambda: 1000 / bushels_an_acre(1000, 1, 3000)(), 18, 1e-6, PURDUE, 18),
    Check(
        "factor for small seed, 3,500 a pound",
        lambda: 1000 / bushels_an_acre(1000, 1, 3500)(),
        21,
        1e-6,
        PURDUE,
        21,
    ),
    Check("25.5 to 15.5 %, percent", lambda: 100 * shrink(25.5, 15.5), 11.834, 5e-4, SHRINK_PAGE, 11.83, 0.01),
    Check(
        "with 0.5 % handling, percent",
        lambda: 100 * shrink(25.5, 15.5, 0.005),
        12.334,
        5e-4,
        SHRINK_PAGE,
        12.33,
        0.01,
    ),
    Check(
        "1,000 lb with handling",
        lambda: 1000 * (1 - shrink(25.5, 15.5, 0.005)),
        876.66,
        5e-3,
        SHRINK_PAGE,
        876.7,
        0.1,
    ),
    Check(
        "1,000 lb in bushels of 56 lb; printed 15.8 from a rounded 17.9",
        lambda: mass_at_moisture_kg(1000, 25.5, 15.5) / 56,
        15.744,
        5e-4,
        SHRINK_PAGE,
    ),
    Check("220 heads × 24 grains × 34 g", lambda: standing_kg_per_ha(220, 24, 1, 34), 1795.2, 1e-6, CEREAL_FORM),
)
