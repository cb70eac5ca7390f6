"""Numbers that others printed, and what the calculator must make of the same inputs.

``expected`` is what the published inputs give without rounding; ``printed`` is what the source shows. Both are
checked, since several sources truncate, and some print a slip, which then has no ``printed`` here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import floor

from advisor.agronomy.field import paced_rectangle, rectangle_m2, square_side_steps, step_length_m
from advisor.agronomy.germination import SeedTest, wilson_interval
from advisor.agronomy.inoculant import inoculant_g, water_ml
from advisor.agronomy.seed import (
    grain_for_seed_kg,
    implied_stand_per_m2,
    seed_mass_by_population_kg,
    seed_mass_by_rate_kg,
    stand_per_m2,
)
from advisor.agronomy.units import ACRE_M2, FIGURE_UNITS, FOOT_M, HECTARE_M2, INCH_M, POUND_KG, area_in, area_m2


@dataclass(frozen=True)
class Check:
    """One published number.

    Args:
        what: the inputs in words.
        computed: the calculator's answer.
        expected: the answer without rounding.
        tolerance: how far it may be off, absolute.
        source: institution, title, and the year where the page gives one.
        printed: the number as printed, None where the source prints a slip.
        to: the step that the source rounds to.
        cut: whether the source cuts off instead of rounding.
    """

    what: str
    computed: Callable[[], float]
    expected: float
    tolerance: float
    source: str
    printed: float | None = None
    to: float = 1.0
    cut: bool = False

    def as_printed(self, value: float) -> float:
        return round(floor(value / self.to + (0 if self.cut else 0.5) + 1e-9) * self.to, 6)


def seed(plants_per_m2, tsw_g, *parts):
    """kg of seed for a hectare."""
    return lambda: seed_mass_by_population_kg(
        HECTARE_M2, plants_per_m2, tsw_g, *(*parts, 1.0)[: max(2, len(parts))]
    )


def per_hectare(row_cm, hole_cm, plants=1):
    return lambda: stand_per_m2(plants, row_cm / 100, hole_cm / 100) * HECTARE_M2


def per_acre(plants, row_in, along_ft):
    return lambda: stand_per_m2(plants, row_in * INCH_M, along_ft * FOOT_M) * ACRE_M2


def bulk(purity, germination):
    """Mass of bulk seed that holds one mass of pure live seed."""
    return lambda: (
        seed_mass_by_population_kg(1, 1, 1, germination, 1, purity) / seed_mass_by_population_kg(1, 1, 1, 1, 1)
    )


def pounds_per_acre(seeds_per_acre, seeds_per_pound):
    tsw_g = POUND_KG / seeds_per_pound * 1e6
    return lambda: seed_mass_by_population_kg(ACRE_M2, seeds_per_acre / ACRE_M2, tsw_g, 1, 1) / POUND_KG


IOWA = "Iowa State University, Agronomy 212, Seeds per foot of row"
KANSAS = "Kansas State University, Agronomy eUpdate 453, Soybean seeding rates"
ELMORE = "University of Nebraska, R. Elmore, 2004, as repeated in the farm press"
IRELAND = "Irish official list of thousand-grain weights, as quoted by Agriland, What factors affect seeding rate"
MANITOBA = "Manitoba Agriculture formula, as repeated by CropChatter, Seeding rate"
ICRISAT = "ICRISAT, Plant stand estimation"
MYSCHOOL = "West African school examination, agricultural science, answer 60104"
SLIDES = "University slide set, Seed rate calculation 1"
TEXAS = "Texas Department of Transportation, Pure live seed"
RANGELANDS = "Rangelands Gateway, Pure live seed"
LODESTAR = "Lodestar wiki, lower limits of binomial intervals"
SCIPY = "SciPy 1.17 manual and program, binomtest, Wilson"
INADES_10 = "FAO and INADES, Better Farming Series 10, 1976"
INADES_14 = "FAO and INADES, Better Farming Series 14, 1977"
SURVEY = "Field surveying teaching slides, pacing"
POVERTY_BAY = "Poverty Bay Standard, 1882"
NDSU = "North Dakota State University, ProCrop, Estimating soybean stands"
PENN = "Pennsylvania State University, Planting considerations and stand assessments"
KENYA = "Kenya national research advice in The Standard, soybean"
NEW_VISION = "Uganda, New Vision agronomy column, Soya"
IITA = "Nigeria agronomy note after the IITA handbook, Soybean, 2020"
INDIA = "India state practice, as repeated by a vendor: 200 g in 200 mL for 10 kg of seed"
RICE = "Philippine rice check, Conduct a seed germination test"
RKMP = "India, Rice Knowledge Management Portal, Seed germination testing"
GEOMETRY = "Geometry, spacing table computed from row and hole"
ARITHMETIC = "Arithmetic, no publication"

#: Pages that repeat somebody else's number, or whose institution is not known: they check the arithmetic only.
REPEATED = frozenset({ELMORE, IRELAND, MANITOBA, INDIA, LODESTAR, IITA, MYSCHOOL, SLIDES})
#: What follows from the definition and was published by nobody in particular.
DERIVED = frozenset({GEOMETRY, ARITHMETIC})

PUBLISHED = (
    Check("200,000 seeds an acre, 15 in rows", per_acre(5.739210, 15, 1), 200_000, 1, IOWA, 200_000, 100),
    Check("square feet in an acre", lambda: ACRE_M2 / FOOT_M**2, 43_560, 1e-6, IOWA, 43_560),
    Check(
        "105,000 plants at 85 %, 30 in rows", per_acre(7.0896 * 0.85, 30, 1), 105_000, 10, KANSAS, 105_000, 1000
    ),
    Check("60 lb an acre of 2,500 seeds a pound", pounds_per_acre(150_000, 2500), 60, 1e-6, ELMORE, 60),
    Check("the same count of 3,500 a pound", pounds_per_acre(150_000, 3500), 42.857, 1e-3, ELMORE, 43),
    Check("barley, 300 plants, 51.9 g, 85 %", seed(300, 51.9, 0.85), 183.176, 1e-3, IRELAND, 183),
    Check(
        "flax, 45 plants a square foot, 5 g, 88 %, 40 % lost; exact units, where the guide divides by 10",
        lambda: seed_mass_by_population_kg(ACRE_M2, 45 / FOOT_M**2, 5, 0.88, 0.6) / POUND_KG,
        40.92,
        0.005,
        MANITOBA,
    ),
    Check("0.75 m by 10 cm", per_hectare(75, 10), 133_333.3, 0.1, ICRISAT, 133_330, 10, cut=True),
    Check("60 by 91 cm", per_hectare(60, 91), 18_315.02, 0.01, MYSCHOOL, 18_315, cut=True),
    Check(
        "mung bean, 36 g, 92 %, purity 85 %, 30 by 10 cm",
        seed(100 / 3, 36, 0.92, 1, 0.85),
        15.345,
        1e-3,
        SLIDES,
        15.34,
        0.01,
        cut=True,
    ),
    Check(
        "pigeon pea, 70 g, 87 %, purity 86 %, 60 by 25 cm",
        seed(100 / 15, 70, 0.87, 1, 0.86),
        6.237,
        1e-3,
        SLIDES,
        6.23,
        0.01,
        cut=True,
    ),
    Check(
        "groundnut, 200 g, 92 %, purity 95 %, 10 plants",
        seed(10, 200, 0.92, 1, 0.95),
        22.883,
        1e-3,
        SLIDES,
        22.88,
        0.01,
    ),
    Check(
        "the same in the shell, 60 % kernels",
        lambda: grain_for_seed_kg(seed(10, 200, 0.92, 1, 0.95)(), 0.4),
        38.138,
        1e-3,
        SLIDES,
    ),
    Check("the same from a rounded 23 kg", lambda: grain_for_seed_kg(23, 0.4), 38.333, 1e-3, SLIDES, 38.33, 0.01),
    Check("green gram, 48 g, 80 %, 30 by 15 cm", seed(100 / 4.5, 48, 0.8), 13.333, 1e-3, SLIDES, 13.33, 0.01),
    Check(
        "bulk for a pound of pure live seed, 85 % pure, 75 %",
        bulk(0.85, 0.75),
        1.5686,
        1e-4,
        TEXAS,
        1.56,
        0.01,
        cut=True,
    ),
    Check(
        "pure live seed, 91 % by 96 %", lambda: 1 / bulk(0.91, 0.96)(), 0.8736, 1e-6, RANGELANDS, 0.8736, 0.0001
    ),
    Check("7 of 20, lower limit", lambda: wilson_interval(7, 20)[0], 0.1812, 5e-5, LODESTAR, 0.1812, 0.0001),
    *(
        Check(
            f"{grown} of {sown}, {side} limit",
            lambda g=grown, s=sown, n=n: wilson_interval(g, s)[n],
            limit,
            5.1e-5,
            SCIPY,
        )
        for grown, sown, limits in (
            (8, 10, (0.4902, 0.9433)),
            (40, 50, (0.6696, 0.8876)),
            (60, 100, (0.5020, 0.6906)),
            (70, 100, (0.6042, 0.7811)),
            (75, 100, (0.6570, 0.8245)),
            (80, 100, (0.7112, 0.8666)),
            (90, 100, (0.8256, 0.9448)),
            (95, 100, (0.8882, 0.9785)),
            (100, 100, (0.9630, 1.0)),
            (320, 400, (0.7580, 0.8363)),
        )
        for n, (side, limit) in enumerate(zip(("lower", "upper"), limits, strict=True))
    ),
    Check("54 by 22 m", lambda: rectangle_m2(54, 22), 1188, 0, INADES_10, 1188),
    Check(
        "54 by 22 m in hectares",
        lambda: area_in(rectangle_m2(54, 22), "hectare"),
        0.1188,
        1e-9,
        INADES_10,
        0.1188,
        0.0001,
    ),
    Check("21 by 8 m", lambda: rectangle_m2(21, 8), 168, 0, INADES_10, 168),
    Check("5 sticks of 0.21 m", lambda: step_length_m(1.05, 5), 0.21, 1e-9, INADES_10, 0.21, 0.01),
    Check("71 by 71 m", lambda: rectangle_m2(71, 71), 5041, 0, INADES_14, 5041),
    Check(
        "half a hectare as a square", lambda: square_side_steps(area_m2(0.5, "hectare"), 1), 71, 0, INADES_14, 71
    ),
    Check("200 by 50 m", lambda: area_in(rectangle_m2(200, 50), "hectare"), 1, 0, INADES_14, 1),
    Check("100 by 50 m", lambda: area_in(rectangle_m2(100, 50), "hectare"), 0.5, 0, INADES_14, 0.5, 0.1),
    Check(
        "100 ft in 30.3 paces, feet a pace",
        lambda: step_length_m(100 * FOOT_M, 30.3) / FOOT_M,
        3.30033,
        1e-5,
        SURVEY,
        3.30,
        0.01,
    ),
    Check("25.4 ft in 10 paces", lambda: step_length_m(25.4 * FOOT_M, 10) / FOOT_M, 2.54, 1e-9, SURVEY, 2.5, 0.1),
    Check(
        "60 by 65 paces of 3.342 ft",
        lambda: area_in(paced_rectangle(60, 65, 3.342 * FOOT_M, 0).area_m2, "acre"),
        1,
        1e-4,
        POVERTY_BAY,
        1,
    ),
    Check(
        "5 % of pace, upward",
        lambda: paced_rectangle(60, 65, 1, 0.05).high_m2 / 3900 - 1,
        0.1025,
        1e-9,
        ARITHMETIC,
    ),
    Check(
        "1/1000 acre in 15 in rows is 34 ft 10 in",
        lambda: area_in(rectangle_m2((34 + 10 / 12) * FOOT_M, 15 * INCH_M), "acre"),
        0.001,
        1e-6,
        NDSU,
        0.001,
        0.0001,
    ),
    Check(
        "90 plants in 34 ft 10 in of 15 in rows", per_acre(90, 15, 34 + 10 / 12), 90_037.9, 0.1, NDSU, 90_000, 1000
    ),
    Check("feet of 30 in row in an acre", per_acre(1, 30, 1), 17_424, 1e-6, PENN, 17_424),
    Check("20 kg an acre in kg/ha", lambda: 20 * FIGURE_UNITS["kg/acre"][1], 49.42, 0.01, KENYA, 49),
    Check("30 kg an acre in kg/ha", lambda: 30 * FIGURE_UNITS["kg/acre"][1], 74.13, 0.01, KENYA, 74),
    Check(
        "an acre at 61.8 kg/ha", lambda: seed_mass_by_rate_kg(ACRE_M2, 61.776, 1, 1), 25.0, 1e-3, NEW_VISION, 25
    ),
    Check("60 by 5 cm", per_hectare(60, 5), 333_333.3, 0.1, GEOMETRY),
    Check("50 by 25 cm, 3 seeds", per_hectare(50, 25, 3), 240_000, 1e-6, NEW_VISION),
    Check("75 by 10 cm, 3 seeds", per_hectare(75, 10, 3), 400_000, 1e-6, IITA),
    Check("inoculant for 10 kg at 20 g/kg", lambda: inoculant_g(10, 20), 200, 0, INDIA, 200),
    Check("water for 10 kg at 20 mL/kg", lambda: water_ml(10, 20), 200, 0, INDIA, 200),
    Check("85 of 100 seeds", lambda: SeedTest(85, 100).germination * 100, 85, 1e-9, RICE, 85),
    Check("170 of 200 seeds", lambda: SeedTest(170, 200).germination * 100, 85, 1e-9, RKMP, 85),
    *(
        Check(f"{row} by {hole} cm, {plants} plants", per_hectare(row, hole, plants), stand, 0.5, GEOMETRY)
        for row, hole, plants, stand in (
            (30, 10, 1, 333_333),
            (30, 10, 2, 666_667),
            (45, 10, 1, 222_222),
            (50, 10, 2, 400_000),
            (60, 10, 2, 333_333),
            (60, 25, 2, 133_333),
            (75, 5, 1, 266_667),
            (75, 20, 2, 133_333),
            (75, 25, 1, 53_333),
        )
    ),
    Check(
        "45 by 20 cm, 5 g for 100 seeds, 90 %: not ten times as much",
        seed(100 / 9, 50, 0.9),
        6.173,
        1e-3,
        ARITHMETIC,
    ),
)

NO_ADDRESS = "second-hand, common practice at most, no source"

#: Tables seen on pages whose address is not kept: they check the arithmetic and are not published sources.
SECOND_HAND = (
    *(
        Check(
            f"wheat, {plants} plants, {tsw} g, 95 % by 90 %",
            seed(plants, tsw, 0.95, 0.9),
            exact,
            0.0501,
            NO_ADDRESS,
            printed,
        )
        for plants, row in (
            (100, ((45, 52.6, 53), (50, 58.5, None), (55, 64.3, 64))),
            (125, ((45, 65.8, 66), (50, 73.1, 73), (55, 80.4, 80))),
            (175, ((45, 92.1, 92), (50, 102.3, 102), (55, 112.6, 113))),
            (200, ((45, 105.3, 105), (50, 117.0, 117), (55, 128.7, 129))),
            (250, ((45, 131.6, 132), (50, 146.2, 146), (55, 160.8, 161))),
            (300, ((45, 157.9, 158), (50, 175.4, 175), (55, 193.0, 193))),
        )
        for tsw, exact, printed in row
    ),
    Check("maize, 60 by 25 cm", per_hectare(60, 25), 66_666.7, 0.1, NO_ADDRESS, 66_666, cut=True),
    Check("30 by 30 cm", per_hectare(30, 30), 111_111.1, 0.1, NO_ADDRESS, 111_111, cut=True),
    Check("30 by 90 cm", per_hectare(30, 90), 37_037.04, 0.01, NO_ADDRESS, 37_037, cut=True),
    Check("130,000 seeds an acre, 30 in rows", per_acre(7.46097, 30, 1), 130_000, 1, NO_ADDRESS, 130_000, 100),
    Check(
        "130,000 seeds an acre, 7 in rows, where 1.71 is a misprint",
        per_acre(1.74089, 7, 1),
        130_000,
        1,
        NO_ADDRESS,
    ),
    Check("bulk factor, 96 % pure, 80 %", bulk(0.96, 0.8), 1.30208, 1e-5, NO_ADDRESS, 1.3, 0.1),
)

PRACTICE = "common practice, no source"

COMMON_PRACTICE = (
    Check("a pack of 250 g treats 50 kg", lambda: inoculant_g(50, 5), 250, 0, PRACTICE),
    Check("75 g for 15 kg", lambda: inoculant_g(15, 5), 75, 0, PRACTICE),
    Check("6 teaspoons of 5 mL for 15 kg", lambda: water_ml(15, 2) / 5, 6, 0, PRACTICE),
    Check(
        "20 kg an acre sows 2.5 acres with 50 kg",
        lambda: seed_mass_by_rate_kg(area_m2(2.5, "acre"), 20 * FIGURE_UNITS["kg/acre"][1], 0.85, 0.8),
        50,
        1e-9,
        PRACTICE,
    ),
    Check("60 cm rows, a seed every 5 cm", lambda: stand_per_m2(1, 0.6, 0.05), 33.333, 1e-3, PRACTICE, 33.3, 0.1),
    Check("60 cm rows, two every 10 cm", lambda: stand_per_m2(2, 0.6, 0.1), 33.333, 1e-3, PRACTICE, 33.3, 0.1),
    Check("the same an acre", lambda: stand_per_m2(2, 0.6, 0.1) * ACRE_M2, 134_895.2, 0.1, PRACTICE, 134_900, 100),
    Check(
        "a cap every 30 cm of 60 cm rows",
        lambda: stand_per_m2(1, 0.6, 0.3) * ACRE_M2,
        22_482.5,
        0.1,
        PRACTICE,
        22_500,
        100,
    ),
    Check(
        "20 kg an acre of 130 g seed at 85 % and 85 %",
        lambda: implied_stand_per_m2(20, ACRE_M2, 130, 0.85, 0.85),
        27.466,
        1e-3,
        PRACTICE,
        27.5,
        0.1,
    ),
)
