"""Numbers that others printed on fields, rows, stands, seeds along a row and germination tests in replicates."""

from __future__ import annotations

from advisor.agronomy.field import PacedArea
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.placing import seeds_per_metre
from advisor.agronomy.replicates import tolerated_range
from advisor.agronomy.rows import furrow_length_m
from advisor.agronomy.saved_seed import in_shell_kg
from advisor.agronomy.seed import stand_per_m2
from advisor.agronomy.shapes import sum_of_pieces, triangle_m2
from advisor.agronomy.stand_check import RowCount, StandAdvice, StandRules, counted_stand_per_m2, stand_check
from advisor.agronomy.strips import seed_for_furrows_kg
from advisor.agronomy.units import ACRE_M2, FOOT_M, HECTARE_M2, INCH_M, POUND_KG
from tests.agronomy.published import IOWA, NDSU, PENN, SLIDES, Check

PLOTS = "FantasticEng, How to calculate the area or plots, 2019, worked example in square feet"
IRREGULAR = "Instructables, Measuring area of irregular shapes, step with sides 6.56, 6.01, 5.76"
STEM = "The STEM Professor, Using Heron's formula in land surveying, example calculation"
IOWA_MASS = "Iowa State University, Agronomy 212, Seed per acre"
MONTANA = "Montana State University Extension, K. Brown, Calculating seeding rates"
MSU_STAND = "Michigan State University, stand count worksheet, row length for a thousandth of an acre"
WISCONSIN = "University of Wisconsin, Discovery Farms, Taking a stand count, May 2010"
CFR_201_55 = "United States, Federal Seed Act regulations, 7 CFR 201.55, table of maximum tolerated ranges"
WINCH = "T. Winch, Growing Food, soybean: 25 to 40 plants to a metre of row, 400,000 plants a hectare"
MAIZE_ROWS = "Guidelines for spacing and sowing maize, Kenya"
MICHIGAN_STAND = (
    "Michigan State University, Michigan Soybean News, summer 2023: leave 65,000 plants an acre or more"
)
VIRGINIA_STAND = (
    "Virginia Cooperative Extension, Ag pest advisory, replant: only if half the stand or more is lost"
)


def triangle(*sides):
    return lambda: triangle_m2(*sides)


def three_triangles():
    pieces = [triangle_m2(*sides) for sides in ((10, 12, 14), (14, 14, 12), (16, 12, 12))]
    return sum_of_pieces([PacedArea(each, each, each) for each in pieces]).area_m2


def inches_of_row(row_in):
    """Length of row that makes a thousandth of an acre, in inches."""
    return lambda: furrow_length_m(ACRE_M2 / 1000, row_in * INCH_M) / INCH_M


def tolerated(percent, replicates):
    return lambda: tolerated_range(SeedTest(percent * replicates, 100 * replicates), replicates)[0]


def advised(plants_per_acre, target, days, rules):
    return stand_check(plants_per_acre / ACRE_M2, target / ACRE_M2, days, rules).advice


def pounds(seeds_per_acre, seeds_per_pound):
    """Seed for an acre of 30 in rows, in pounds; the row spacing drops out."""
    furrow_m = furrow_length_m(ACRE_M2, 30 * INCH_M)
    return seed_for_furrows_kg(furrow_m, furrow_m / seeds_per_acre, 1, POUND_KG / seeds_per_pound * 1e6) / POUND_KG


PUBLISHED_LAND = (
    Check("triangle of 10, 12 and 14 ft", triangle(10, 12, 14), 58.78775, 1e-5, PLOTS, 58.78, 0.01, cut=True),
    Check("triangle of 14, 14 and 12 ft", triangle(14, 14, 12), 75.89466, 1e-5, PLOTS, 75.89, 0.01),
    Check("triangle of 16, 12 and 12 ft", triangle(16, 12, 12), 71.55418, 1e-5, PLOTS, 71.55, 0.01),
    Check("the three together, where 206.22 adds what was cut off", three_triangles, 206.23659, 1e-5, PLOTS),
    Check("triangle of 6.56, 6.01 and 5.76", triangle(6.56, 6.01, 5.76), 16.01505, 1e-5, IRREGULAR, 16.015, 0.001),
    Check("triangle of 50, 60 and 70 m, where 4,647.58 is a slip", triangle(50, 60, 70), 1469.69385, 1e-5, STEM),
    Check(
        "feet of row in an acre of 30 in rows",
        lambda: furrow_length_m(ACRE_M2, 30 * INCH_M) / FOOT_M,
        17_424,
        1e-6,
        PENN,
        17_424,
    ),
    *(
        Check(f"a thousandth of an acre in {row} in rows, inches", inches_of_row(row), exact, 0.005, NDSU, printed)
        for row, exact, printed in (
            (6, 1045.44, 87 * 12 + 1),
            (7, 896.09, 74 * 12 + 8),
            (8, 784.08, 65 * 12 + 4),
            (10, 627.26, 52 * 12 + 3),
            (28, 224.02, 18 * 12 + 8),
            (30, 209.09, 17 * 12 + 5),
            (36, 174.24, 14 * 12 + 6),
            (40, 156.82, 13 * 12 + 1),
        )
    ),
    Check("a thousandth of an acre in 7.5 in rows, inches", inches_of_row(7.5), 836.35, 0.005, MSU_STAND, 836),
    Check("in 20 in rows, inches, where 36 ft 2 in is a misprint", inches_of_row(20), 313.63, 0.005, WISCONSIN),
    Check(
        "200,000 seeds an acre in 15 in rows, seeds a foot",
        lambda: seeds_per_metre(200_000 / ACRE_M2, 15 * INCH_M, 1, 1) * FOOT_M,
        5.73921,
        1e-5,
        IOWA,
        5.74,
        0.01,
    ),
    Check("150,000 seeds at 2,750 a pound", lambda: pounds(150_000, 2750), 54.5455, 1e-4, IOWA_MASS, 54.5, 0.1),
    Check("132,000 seeds at 2,200 a pound", lambda: pounds(132_000, 2200), 60, 1e-9, IOWA_MASS, 60),
    Check("180,000 seeds at 3,000 a pound", lambda: pounds(180_000, 3000), 60, 1e-9, IOWA_MASS, 60),
    Check(
        "100 peas of 0.0457 lb, seeds in a pound",
        lambda: 1 / (seed_for_furrows_kg(1, 1, 1, 0.457 * POUND_KG * 1000) / POUND_KG),
        2188.1838,
        1e-4,
        MONTANA,
        2188,
    ),
    Check(
        "100 peas of 0.73 ounces, seeds in a pound",
        lambda: 1 / (seed_for_furrows_kg(1, 1, 1, 7.3 / 16 * POUND_KG * 1000) / POUND_KG),
        2191.7808,
        1e-4,
        MONTANA,
        2192,
    ),
    Check(
        "40 plants on a metre of 100 cm rows",
        lambda: counted_stand_per_m2([RowCount(40, 1)], 1.0) * HECTARE_M2,
        400_000,
        1e-6,
        WINCH,
        400_000,
    ),
    Check(
        "25 plants on a metre of 60 cm rows",
        lambda: counted_stand_per_m2([RowCount(25, 1)], 0.6) * HECTARE_M2,
        416_666.67,
        0.01,
        WINCH,
        400_000,
        100_000,
    ),
    Check(
        "75 by 25 cm, where 50,000 is too few",
        lambda: stand_per_m2(1, 0.75, 0.25) * HECTARE_M2,
        53_333.33,
        0.01,
        MAIZE_ROWS,
    ),
    Check(
        "75 by 22 cm",
        lambda: stand_per_m2(1, 0.75, 0.22) * HECTARE_M2,
        60_606.06,
        0.01,
        MAIZE_ROWS,
        60_000,
        10_000,
        cut=True,
    ),
    Check(
        "23 kg of kernels in the shell at 60 %", lambda: in_shell_kg(23, 0.6), 38.3333, 1e-4, SLIDES, 38.33, 0.01
    ),
    *(
        Check(
            f"{percent} %, {replicates} sets of 100 seeds",
            tolerated(percent, replicates),
            widest,
            0,
            CFR_201_55,
            widest,
        )
        for percent, replicates, widest in (
            (99, 4, 5),
            (94, 4, 10),
            (90, 4, 12),
            (84, 4, 14),
            (78, 4, 16),
            (71, 4, 18),
            (97, 2, 6),
            (89, 2, 10),
            (80, 2, 13),
            (2, 4, 5),
        )
    ),
    *(
        Check(
            f"{plants} plants an acre, {advice}",
            lambda plants=plants, advice=advice: (
                advised(plants, 100_000, 14, StandRules(0.64999, 0, fill_days=90, resow_days=90)) is advice
            ),
            True,
            0,
            MICHIGAN_STAND,
        )
        for plants, advice in ((65_000, StandAdvice.LEAVE), (64_000, StandAdvice.FILL_GAPS))
    ),
    *(
        Check(
            f"{percent} % of the stand left, {advice}",
            lambda percent=percent, advice=advice: (
                advised(percent, 100, 14, StandRules(0.50001, 0.50001, fill_days=90, resow_days=90)) is advice
            ),
            True,
            0,
            VIRGINIA_STAND,
        )
        for percent, advice in ((51, StandAdvice.LEAVE), (50, StandAdvice.RESOW), (49, StandAdvice.RESOW))
    ),
)

MEMORY = "International Seed Testing Association, table 5B part 1, from memory, not seen"

FROM_MEMORY_LAND = tuple(
    Check(f"{percent} %, 4 sets of 100 seeds", tolerated(percent, 4), widest, 0, MEMORY)
    for percent, widest in ((70, 18), (67, 18), (66, 19), (56, 19), (55, 20), (51, 20), (50, 20))
)
